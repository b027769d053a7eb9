// Words of the page by dotted names, as the server put them into the document.

const sections = JSON.parse(document.getElementById("words").textContent);

/** Give the words of a name, with values put in where it has {places}. */
export function w(name, values = {}) {
  const dot = name.indexOf(".");
  const words = sections[name.slice(0, dot)][name.slice(dot + 1)];
  return words.replace(/\{(\w+)\}/g, (whole, place) => (place in values ? values[place] : whole));
}

/** Give the words of a name, or something else where it has none. */
export function wordsOr(name, otherwise) {
  const dot = name.indexOf(".");
  return sections[name.slice(0, dot)]?.[name.slice(dot + 1)] ?? otherwise;
}
