// A derivation, stepped forwards and backwards. Every line was worked out by sympy before it came here.

function render({ model, el }) {
  const { title, steps } = model.get("spec");
  const section = document.createElement("section");
  section.className = "radonwork-stepper";
  section.setAttribute("aria-label", title);
  const heading = document.createElement("h3");
  heading.textContent = title;
  const list = document.createElement("ol"); // a long line is read by moving along it, with the keys too
  list.tabIndex = 0;
  list.setAttribute("aria-label", "Lines of the derivation");
  list.setAttribute("data-lm-suppress-shortcuts", "true");
  list.addEventListener("keydown", (event) => event.stopPropagation());
  const items = steps.map(({ html, premise }) => {
    const item = document.createElement("li");
    item.innerHTML = html;
    if (premise) item.className = "premise";
    list.append(item);
    return item;
  });
  const place = document.createElement("output");
  place.setAttribute("role", "status");

  let shown = 1;
  const buttons = [
    ["First line", () => 1], ["Back", () => shown - 1], ["Next", () => shown + 1], ["All lines", () => items.length],
  ].map(([words, where]) => {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = words;
    button.setAttribute("data-lm-suppress-shortcuts", "true");
    button.addEventListener("keydown", (event) => event.stopPropagation());
    button.addEventListener("click", () => go(where()));
    return button;
  });

  function go(to) {
    shown = Math.min(Math.max(to, 1), items.length);
    items.forEach((item, i) => { item.hidden = i >= shown; });
    place.textContent = `line ${shown} of ${items.length}`;
    // A button that was just used keeps the focus, so it is marked rather than disabled.
    buttons[1].setAttribute("aria-disabled", shown === 1);
    buttons[2].setAttribute("aria-disabled", shown === items.length);
  }

  const bar = document.createElement("div");
  bar.className = "radonwork-buttons";
  bar.append(...buttons, place);
  section.append(heading, list, bar);
  el.replaceChildren(section);
  go(1);
}

export default { render };
