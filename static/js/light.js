// The light key: remembers yard or bay on this device. Without it the key still works, for one page.
const KEY = "light";

/** The check box turns the system's choice over: checked means "not what the system says". */
export const checked = (wanted, systemDark) => wanted !== null && (wanted === "bay") !== systemDark;
export const wanted = (isChecked, systemDark) => (isChecked !== systemDark ? "bay" : "yard");

export function start(boxes) {
  const dark = matchMedia("(prefers-color-scheme: dark)");
  for (const box of boxes) {
    box.checked = checked(localStorage.getItem(KEY), dark.matches);
    box.addEventListener("change", () => localStorage.setItem(KEY, wanted(box.checked, dark.matches)));
  }
}
