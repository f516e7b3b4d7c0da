// Says beside the photo key how many pictures wait in the form, since the field itself is not to be seen.

/** What the key says for a number of chosen pictures; empty where none are. */
export function waiting(count) {
  if (!count) return "";
  return count === 1 ? "1 to be saved" : `${count} to be saved`;
}

export function start(field) {
  const said = field.parentElement.querySelector("[data-photos-said]");
  const before = said.textContent;
  field.addEventListener("change", () => {
    said.textContent = waiting(field.files.length) || before;
  });
}
