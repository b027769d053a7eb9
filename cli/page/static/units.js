// Metric or inches: chosen once, remembered by a cookie, and told to whoever shows lengths.

export function units() {
  return document.body.dataset.units;
}

/** Call a function whenever the person changes the units. */
export function onUnits(changed) {
  document.addEventListener("units", () => changed(units()));
}

export function listenToChoice() {
  for (const choice of document.querySelectorAll('input[name="units"]')) {
    choice.addEventListener("change", () => {
      document.body.dataset.units = choice.value;
      document.cookie = `whirlwise-units=${choice.value}; path=/; max-age=31536000; SameSite=Strict`;
      document.dispatchEvent(new Event("units"));
    });
  }
}
