// Metric or inches: chosen once, remembered by a cookie, and told to whoever shows lengths.

export function units() {
  return document.body.dataset.units;
}

/** Call a function whenever the person changes the units. */
export function onUnits(changed) {
  document.addEventListener("units", () => changed(units()));
}

export function listenToChoice() {
  const choose = ({ value }) => {
    document.body.dataset.units = value;
    document.cookie = `whirlwise-units=${value}; path=/; max-age=31536000; SameSite=Strict`;
    document.dispatchEvent(new Event("units"));
  };
  for (const choice of document.querySelectorAll('input[name="units"]')) {
    choice.addEventListener("change", () => choose(choice));
    // Chosen before this script was there, or put back by the browser.
    if (choice.checked && choice.value !== units()) choose(choice);
  }
}
