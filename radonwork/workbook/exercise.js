// A question to try: an answer typed as on paper, marked by the kernel, which reads it with the same strict grammar.

function render({ model, el }) {
  const { title, question, hint } = model.get("spec");
  const make = (tag, text = "") => Object.assign(document.createElement(tag), { textContent: text });
  const section = make("section");
  section.className = "radonwork-exercise";
  section.setAttribute("aria-label", title);
  const answer = make("input");
  answer.type = "text";
  answer.setAttribute("aria-label", `Your answer to: ${question}`);
  answer.setAttribute("data-lm-suppress-shortcuts", "true");
  answer.placeholder = hint;
  answer.size = Math.max(24, hint.length);
  const button = make("button", "Check the answer");
  button.type = "button";
  button.setAttribute("data-lm-suppress-shortcuts", "true");
  const verdict = make("output");
  verdict.className = "verdict";
  verdict.setAttribute("role", "status");
  const check = () => model.send({ answer: answer.value });
  answer.addEventListener("keydown", (event) => { event.stopPropagation(); if (event.key === "Enter") check(); });
  button.addEventListener("keydown", (event) => event.stopPropagation());
  button.addEventListener("click", check);
  model.on("msg:custom", (message) => { verdict.textContent = message.verdict; });
  const row = make("div");
  row.className = "radonwork-buttons";
  row.append(answer, button);
  section.append(make("h3", title), make("p", question), row, verdict);
  el.replaceChildren(section);
}

export default { render };
