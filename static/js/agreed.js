// The sum of the lines with yes, told while the owner chooses. The server works everything out anew.

/** The sum of prices in minor units. */
export function agreed(prices) {
  return prices.reduce((sum, price) => sum + price, 0);
}

/** Minor units as printed: 1,305.39. */
export function printed(minor) {
  const [whole, part] = (Math.abs(minor) / 100).toFixed(2).split(".");
  return `${minor < 0 ? "-" : ""}${whole.replace(/\B(?=(\d{3})+$)/g, ",")}.${part}`;
}

export function start(form) {
  const sum = form.querySelector("[data-agreed-sum]");
  const key = form.querySelector("[data-agreed-key]");
  const tell = () => {
    const chosen = [...form.querySelectorAll("[data-price]:checked")];
    const says = printed(agreed(chosen.map((each) => Number(each.dataset.price))));
    sum.textContent = says;
    key.textContent = chosen.length ? `yes to ${says} before tax` : "";
  };
  form.addEventListener("change", tell);
  tell();
}
