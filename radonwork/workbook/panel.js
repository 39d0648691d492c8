// A panel: controls, a to-scale drawing, the result in words and the worked equations, all following the controls.
//
// `program` and `faultsOf` are put in front of this module, printed from the same sympy expressions that Python
// evaluates; without them the kernel answers each move with a picture. Values are SI; people's units only at the door.

const reading = (value, unit) => (value * unit.denominator) / unit.numerator - unit.zero;
const fromReading = (number, unit) => ((number + unit.zero) * unit.numerator) / unit.denominator;
const withoutZeros = (text) => (text.includes(".") ? text.replace(/0+$/, "").replace(/\.$/, "") : text);

export function number(value, unit, digits) {
  const read = reading(value, unit);
  if (!Number.isFinite(read)) return "—";
  if (read === 0 || Math.abs(read) < 1e-12 * unit.zero) return "0"; // the rounding of a temperature's own zero
  const [mantissa, power] = read.toExponential(digits - 1).split("e");
  const exponent = Number(power);
  if (exponent <= -5 || exponent >= 7) return `${withoutZeros(mantissa)}e${exponent}`;
  const [whole, part] = read.toFixed(Math.max(digits - 1 - exponent, 0)).split(".");
  const grouped = whole.replace(/\B(?=(\d{3})+$)/g, ",");
  return withoutZeros(part === undefined ? grouped : `${grouped}.${part}`);
}

export function decimal(value, unit, digits) {
  const text = number(value, unit, digits);
  return unit.label === "" || unit.label === "°" ? text + unit.label : `${text} ${unit.label}`;
}

export function shown(value, unit) {
  const read = reading(value, unit);
  const size = Math.abs(read);
  if (unit.name !== "in" || !(size > 1 / 32 && size < 1e6)) return decimal(value, unit, 4);
  const sixteenths = Math.round(size * 16);
  const whole = Math.floor(sixteenths / 16);
  let [part, of] = [sixteenths % 16, 16];
  while (part && part % 2 === 0) [part, of] = [part / 2, of / 2];
  const pieces = [];
  if (whole) pieces.push(String(whole).replace(/\B(?=(\d{3})+$)/g, ","));
  if (part) pieces.push(`${part}/${of}`);
  const text = `${read < 0 ? "-" : ""}${pieces.join("-")} in`;
  if (Math.abs(size * 16 - sixteenths) <= 1e-9 * Math.max(size * 16, sixteenths)) return text;
  return `${text} (${decimal(value, unit, String(Math.floor(size)).length + 3)})`;
}

export function written(value, slot, units) {
  if (slot.kind === "px") return value.toFixed(2);
  if (slot.kind === "words") {
    const [first, ...others] = slot.words;
    return value < 0 ? others.at(-1) : value === 0 ? [first, ...others].at(-2) : first;
  }
  const unit = units[slot.unit];
  return slot.kind === "shown" ? shown(value, unit) : decimal(value, unit, slot.digits);
}

export function fill(template, numbers, units) {
  let text = template.pieces[0];
  template.slots.forEach((slot, i) => { text += written(numbers[i], slot, units) + template.pieces[i + 1]; });
  return text;
}

// Puts a template into the page once, at the first numbers; a move then touches no more than the texts it changes, where
// parsing and laying out the whole again would take several times as long.
function inserted(part, template, units) {
  const made = document.createElement("template");
  made.innerHTML = template.pieces.reduce((text, piece, i) => `${text}\ue000${i - 1}\ue001${piece}`);
  const places = [];
  const walk = document.createTreeWalker(made.content, NodeFilter.SHOW_ELEMENT | NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    for (const place of walk.currentNode.attributes ?? [walk.currentNode]) {
      const cut = place.nodeValue.split(/\ue000(\d+)\ue001/); // text and the number of a slot in turn
      if (cut.length > 1) places.push([place, cut]);
    }
  }
  return (numbers) => {
    for (const [place, cut] of places) {
      const text = cut.map((piece, i) => (i % 2 ? written(numbers[piece], template.slots[piece], units) : piece)).join("");
      if (place.nodeValue !== text) place.nodeValue = text;
    }
    part.append(made.content);
  };
}

// Puts `html` into the page likewise: where what is there has the same shape, only the texts that differ are written.
function put(part, html) {
  const made = document.createElement("template");
  made.innerHTML = html;
  if (!followed(part, made.content)) part.replaceChildren(made.content);
}

function followed(node, model) {
  if (node.childNodes.length !== model.childNodes.length) return false;
  return [...model.childNodes].every((child, i) => {
    const there = node.childNodes[i];
    if (there.nodeName !== child.nodeName || there.attributes?.length !== child.attributes?.length) return false;
    if (there.nodeValue !== child.nodeValue) there.nodeValue = child.nodeValue;
    for (const { name, value } of child.attributes ?? []) if (there.getAttribute(name) !== value) there.setAttribute(name, value);
    return followed(there, child);
  });
}

function element(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  made.append(...children);
  return made;
}

// Lab's command mode would take keys from a control: a "d d" on a slider must not delete the cell.
const QUIET = { "data-lm-suppress-shortcuts": "true" };

function control(spec, units, id, moved, typed) {
  const unit = units[spec.unit];
  const digits = Math.max(0, -Math.floor(Math.log10(spec.step) + 1e-9));
  const range = element("input", {
    type: "range", id: `${id}-range`, min: spec.low, max: spec.high, step: spec.step, title: spec.meaning,
    "data-term": spec.term, "aria-label": spec.label, ...QUIET,
  });
  const text = element("input", {
    type: "text", "data-term": spec.term, "aria-label": `${spec.label}, typed`, title: `${spec.meaning}; write it as you would on paper`,
    autocomplete: "off", spellcheck: "false", ...QUIET,
  });
  range.addEventListener("input", () => moved(spec.term, fromReading(Number(Number(range.value).toFixed(digits + 4)), unit)));
  // What stands in the field already is sent too once something else was refused, so that the complaint goes.
  let refused = false;
  let sent = null; // Enter may bring a change event as well: what was sent is not sent again before it is answered
  const commit = () => {
    if (text.value === sent) return;
    const same = text.value === text.dataset.shown;
    if (!same || refused) typed(spec.term, (sent = text.value));
    refused = !same;
  };
  text.addEventListener("change", commit);
  text.addEventListener("keydown", (event) => {
    event.stopPropagation();
    if (event.key === "Enter") commit();
    if (event.key === "Escape") text.value = text.dataset.shown;
  });
  range.addEventListener("keydown", (event) => event.stopPropagation());
  const label = element("label", { for: `${id}-range` }, spec.label);
  const row = element("div", { class: "radonwork-control" }, label, range, text);
  if (spec.stands_for) row.append(element("small", {}, spec.meaning));
  const show = (value, tail) => {
    range.value = reading(value, unit);
    // an exact reading: a sixteenth that is not the value must not stand in the field as if it were
    const rounded = unit.name === "in" && shown(value, unit).includes("(");
    const words = (rounded ? decimal(value, unit, 6) : shown(value, unit).replace(/ \(.*\)$/, "")) + tail;
    const typing = document.activeElement === text && text.value !== text.dataset.shown && text.value !== sent;
    if (!typing) text.value = words; // what somebody is writing just now is left to them
    sent = null;
    text.dataset.shown = words;
    const size = Math.max(14, words.length); // a tolerance needs room
    if (text.size !== size) text.size = size;
    range.setAttribute("aria-valuetext", words);
  };
  return { row, show };
}

// The same drawing stands elsewhere on the page too, perhaps out of view, and a hatch is looked up in the whole page by
// its name: each panel calls its own by a name of its own.
const ownNames = (svg, id) => svg.replace(/(\bid='|aria-labelledby='|url\(#)/g, `$1${id}-`);

function render({ model, el }) {
  const spec = model.get("spec");
  const units = spec.units;
  const live = typeof program === "function";
  const id = `radonwork-${Math.random().toString(36).slice(2)}`; // each panel is a module by itself: none could count them all
  let values = { ...model.get("values") };
  let tails = { ...model.get("tails") };

  const figure = element("figure", { class: "radonwork-drawing" });
  const result = element("output", { class: "radonwork-result", role: "status", "aria-live": "polite" });
  const fault = element("p", { class: "radonwork-fault", role: "alert" });
  const spread = element("p", { class: "radonwork-spread" });
  const equations = element("div", { class: "radonwork-equations", tabindex: "0", role: "group", "aria-label": "Worked equations", ...QUIET });
  equations.addEventListener("keydown", (event) => event.stopPropagation());
  const findings = element("div", { class: "radonwork-findings" });
  const difference = element("pre", { class: "radonwork-difference", "aria-live": "polite" });

  const draw = live && inserted(figure, { ...spec.drawing, pieces: spec.drawing.pieces.map((piece) => ownNames(piece, id)) }, units);
  const works = live && spec.equations.map((template, i) => {
    const part = element("div", { class: "radonwork-work" });
    part.innerHTML = `<p>${spec.titles[i]}</p>`;
    return { part, work: inserted(part, template, units) };
  });

  function paint() {
    for (const term of Object.keys(controls)) controls[term].show(values[term], tails[term] ?? "");
    if (!live) return;
    const broken = faultsOf(values).map((i) => spec.faults[i]);
    const numbers = program(values);
    if (broken.length === 0 && !numbers.every(Number.isFinite)) broken.push("There is no finite answer for these values.");
    let at = 0;
    const take = ({ slots }) => numbers.slice(at, (at += slots.length));
    const [drawing, description, said, ...worked] = [spec.drawing, spec.description, spec.result, ...spec.equations].map(take);
    fault.textContent = broken.join(" ");
    if (broken.length) { result.textContent = "No result for these values."; equations.replaceChildren(); return; }
    draw(drawing);
    figure.setAttribute("aria-label", fill(spec.description, description, units));
    result.textContent = fill(spec.result, said, units);
    works.forEach(({ work }, i) => work(worked[i]));
    if (!equations.hasChildNodes()) equations.append(...works.map(({ part }) => part));
  }

  // The kernel stays in step: it is told the newest values as soon as it has answered those before.
  let waiting = false, newer = false;
  function tell() {
    newer = waiting;
    const known = model.get("values");
    if (waiting || Object.keys(values).every((term) => values[term] === known[term])) return; // no answer would come
    waiting = true;
    for (const part of [findings, spread]) part.setAttribute("aria-busy", "true");
    model.set("values", { ...values });
    model.save_changes();
  }

  function moved(term, value) {
    values = { ...values, [term]: value };
    if (tails[term]) { tails = { ...tails, [term]: "" }; model.send({ exact: term }); }
    paint();
    tell();
  }
  const typed = (term, text) => model.send({ typed: term, text });

  const controls = {};
  const rows = spec.controls.map((one) => {
    const { row, show } = control(one, units, `${id}-${one.term}`, moved, typed);
    controls[one.term] = { show };
    return row;
  });

  const button = (words, message) => {
    const made = element("button", { type: "button", ...QUIET }, words);
    made.addEventListener("click", () => model.send(message));
    made.addEventListener("keydown", (event) => event.stopPropagation());
    return made;
  };
  const write = button("Write this to the record", { write: true });
  write.disabled = true;
  const buttons = element("div", { class: "radonwork-buttons" }, button("Back to the record's values", { reset: true }));
  if (spec.record) buttons.append(button("Show what would change in the record", { compare: true }), write);

  const panel = element("section", { class: "radonwork-panel", "aria-label": spec.title },
    element("h3", {}, spec.title), element("div", { class: "radonwork-controls" }, ...rows), element("p", { class: "radonwork-taken" }, spec.taken), fault, figure, result, spread, equations, findings, buttons, difference);
  el.replaceChildren(panel);

  const kernelSpoke = () => {
    waiting = false;
    if (newer) tell();
    const face = model.get("face");
    if (face.svg) { put(figure, ownNames(face.svg, id)); figure.setAttribute("aria-label", face.description); }
    if (face.result !== undefined) result.textContent = face.result;
    if (face.equations !== undefined) put(equations, face.equations);
    if (!live || face.fault) fault.textContent = face.fault ?? "";
  };
  const judged = () => {
    put(findings, model.get("findings"));
    spread.textContent = model.get("spread");
    for (const part of [findings, spread]) part.setAttribute("aria-busy", "false");
  };
  model.on("change:face", kernelSpoke);
  model.on("change:judged_times", judged);
  model.on("msg:custom", (message) => {
    // What was moved while the kernel read something else stays, and the kernel, which may have heard of it too early or
    // too late, is told what stands here now.
    values = { ...values, ...message.values };
    tails = { ...tails, ...message.tails };
    paint();
    tell();
    if (message.fault !== undefined) fault.textContent = message.fault;
    if (message.difference !== undefined) { difference.textContent = message.difference; write.disabled = !message.may_write; }
  });
  paint();
  kernelSpoke();
  judged();
}

export default { render };
