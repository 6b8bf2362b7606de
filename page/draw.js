// What the page shows of a form and of what the judge says: elements, filled with text alone. Judges and works out nothing.
//
// A classic script that leaves one name, `swathlintDraw`.
"use strict";

var swathlintDraw = (function () {
  /** An element with properties, and what is in it. */
  function make(tag, properties = {}, ...inside) {
    const { attributes = {}, ...own } = properties;
    const element = Object.assign(document.createElement(tag), own);
    for (const [name, value] of Object.entries(attributes)) {
      element.setAttribute(name, value);
    }
    element.append(...inside.filter((one) => one !== null));
    return element;
  }

  const line = (className, text) => (text ? make("p", { className, textContent: text }) : null);

  /** A sign for each mark and severity: an outline, and a stroke in it, so that no color is needed. */
  const SIGNS = {
    usual: ["M12 5a7 7 0 1 1-.01 0z", ""],
    taken: ["M12 8a4 4 0 1 1-.01 0z", "M12 11a1 1 0 1 1-.01 0z"],
    good: ["M12 2a10 10 0 1 1-.01 0z", "M7 12.5l3.5 3.5 6.5-8"],
    noted: ["M12 2.5l10.5 19H1.5z", "M12 9v6M12 17.6v.9"],
    off: ["M7.5 1.5h9l6 6v9l-6 6h-9l-6-6v-9z", "M8 8l8 8M16 8l-8 8"],
    refused: ["M3 3h18v18H3z", "M8.5 9.2a3.5 3.2 0 1 1 3.6 3.6v1.6M12.1 17.2v.9"],
    empty: ["", ""],
    note: ["M12 2.5l10.5 19H1.5z", "M12 9v6M12 17.6v.9"],
    warning: ["M7.5 1.5h9l6 6v9l-6 6h-9l-6-6v-9z", "M8 8l8 8M16 8l-8 8"],
    error: ["M7.5 1.5h9l6 6v9l-6 6h-9l-6-6v-9z", "M8 8l8 8M16 8l-8 8"],
  };

  function sign(word) {
    const of = "http://www.w3.org/2000/svg";
    const drawing = document.createElementNS(of, "svg");
    drawing.setAttribute("viewBox", "0 0 24 24");
    drawing.setAttribute("class", `sign ${word}`);
    drawing.setAttribute("aria-hidden", "true");
    for (const [at, d] of (SIGNS[word] || SIGNS.empty).entries()) {
      const path = document.createElementNS(of, "path");
      path.setAttribute("d", d);
      path.setAttribute("class", at === 0 ? "outline" : "stroke");
      drawing.append(path);
    }
    return drawing;
  }

  /** A box to type a value into. `on` has what happens: `typing(box)`, `left(box)`, `entered(box)`, `opened(box)`. */
  function box(form, entry, on) {
    const { key, kind, round, nozzle, again, "is-digits": isDigits } = entry;
    const isNozzle = nozzle !== null;
    const id = `box-${key}`;
    const input = make("input", {
      ...{ id, type: "text", autocomplete: "off", spellcheck: false, maxLength: 400, enterKeyHint: "next" },
      ...{ inputMode: isDigits ? "decimal" : "text", className: isDigits ? "digits" : "words" },
      attributes: { autocapitalize: "none", autocorrect: "off", "aria-describedby": `aim-${key} says-${key}` },
    });
    const label = make("label", { htmlFor: id, className: "name" });
    if (isNozzle) {
      const where = `${form.sections[nozzle.section]}, nozzle `;
      const unit = entry.unit === "" ? "" : `, ${entry.unit}`;
      label.append(make("span", { className: "unseen", textContent: where }), make("b", { textContent: nozzle.number }));
      label.append(make("span", { className: "unseen", textContent: unit }));
    } else {
      label.append(entry.label);
    }
    if (again) {
      label.append(make("span", { className: "again", textContent: ` ${again}` }));
    }
    const signs = make("span", { className: "signs" });
    const says = make("p", { className: "says", id: `says-${key}` });
    const aim = make("p", { className: "aim", id: `aim-${key}`, textContent: entry.aim });
    const unit = make("span", { className: "unit", textContent: entry.unit });
    const chips = entry.choices.map((choice) => make("button", { type: "button", className: "chip", textContent: choice }));
    const group = chips.length === 0 ? null : make("div", { className: "chips", attributes: { role: "group", "aria-label": entry.label } }, ...chips);
    const root = make(
      "div",
      { className: `box ${kind}${isNozzle ? " nozzle" : ""}${round > 1 ? " later" : ""}`, attributes: { "data-key": key } },
      ...[label, make("span", { className: "enter" }, input, unit), signs, group, aim, says],
    );
    const made = { entry, root, input, signs, says, aim, chips, isNozzle };
    input.addEventListener("input", () => on.typing(made));
    input.addEventListener("change", () => on.left(made));
    input.addEventListener("focus", () => on.opened(made));
    input.addEventListener("keydown", (event) => {
      if (event.key === "Enter" && !event.isComposing) {
        event.preventDefault();
        on.entered(made);
      }
    });
    chips.forEach((chip, at) => chip.addEventListener("click", () => on.chosen(made, entry.choices[at])));
    return made;
  }

  /** The parts of a form as elements, and every box by its name. */
  function parts(form, on) {
    const boxes = new Map();
    const drawn = form.parts.map((part) => drawPart(form, part, boxes, on));
    return { drawn, boxes };
  }

  function drawPart(form, part, boxes, on) {
    const title = make("h2", { textContent: part.title });
    const state = make("span", { className: part["is-due"] ? "state due" : "state", textContent: part.state });
    const summary = make("summary", {}, title, state);
    const inside = make("div", { className: "inside" });
    const element = make("details", { className: "part", open: part["is-open"] }, summary, inside);
    inside.append(...about(part));
    const laters = new Map();
    const made = { part, element, laters };
    let group = inside;
    let section = null;
    for (const entry of part.entries) {
      const one = box(form, entry, on);
      boxes.set(entry.key, { ...one, part: made });
      const { root } = one;
      if (entry.round > 1 && one.isNozzle) {
        boxes.get(entry.before).root.after(root);
      } else if (entry.round > 1) {
        later(laters, entry).append(root);
      } else if (one.isNozzle) {
        if (section !== entry.nozzle.section) {
          section = entry.nozzle.section;
          const id = `section-${section}`;
          const words = [form.sections[section], entry.unit].filter((word) => word !== "");
          const heading = make("h3", { id, textContent: words.join(" · ") });
          group = make("div", { className: "of-section", attributes: { role: "group", "aria-labelledby": id } }, heading);
          inside.append(group);
        }
        group.append(root);
      } else {
        inside.append(root);
      }
    }
    inside.append(...laters.values());
    if (part.again !== null) {
      const button = make("button", { type: "button", className: "again-button", textContent: part.again });
      button.addEventListener("click", () => on.askedAgain(made));
      inside.append(make("p", { className: "buttons" }, button));
      made.button = button;
    }
    return made;
  }

  function later(laters, { round, again }) {
    if (!laters.has(round)) {
      const heading = make("h3", { textContent: again });
      laters.set(round, make("div", { className: "later-group", hidden: true }, heading));
    }
    return laters.get(round);
  }

  function about(part) {
    const cautions = part.cautions.map((caution) => make("li", { textContent: caution }));
    const lines = part.about.map(({ of, words }) => line(of, words));
    return cautions.length > 0 ? [...lines, make("ul", { className: "part-cautions" }, ...cautions)] : lines;
  }

  /** Shows what is said of a value, and what stands in its box. */
  function mark(made, { values, aims, typed: all }, isTouched) {
    const { entry, root, input, signs, says, aim, chips } = made;
    const { mark: word, words } = values[entry.key] || { mark: "empty", words: "" };
    const typed = all[entry.key] || "";
    for (const [element, text] of [[says, words], [aim, aims[entry.key] || entry.aim]]) {
      if (element.textContent !== text) {
        element.textContent = text;
      }
    }
    if (root.dataset.mark !== word) {
      root.dataset.mark = word;
      signs.replaceChildren(sign(word), make("span", { textContent: word === "empty" ? "" : word }));
      input.setAttribute("aria-invalid", word === "refused" ? "true" : "false");
    }
    if (!isTouched && input.value !== typed) {
      input.value = typed;
    }
    const stands = typed || entry.usual || "";
    const chosen = entry.kind === "several" ? items(stands) : [stands];
    for (const [at, chip] of chips.entries()) {
      chip.setAttribute("aria-pressed", String(chosen.includes(entry.choices[at])));
    }
  }

  /** The things in a list as it is typed. */
  function items(text) {
    const all = text.split(",").map((item) => item.trim());
    return all.filter((item) => item !== "");
  }

  /** A finding: how much it weighs, what it says, how it was worked out, what to do. */
  function finding({ severity, rule, message, working, help }) {
    const title = make("h3", {}, sign(severity), make("span", { className: "severity", textContent: severity }), " ", message);
    const inside = [title, ...(help.length > 0 ? [steps(help)] : [])];
    if (working) {
      inside.push(make("details", {}, make("summary", { textContent: "How it was worked out" }), line("working", working)));
    }
    inside.push(make("p", { className: "rule", textContent: `[${rule}]` }));
    return make("article", { className: `finding ${severity}` }, ...inside);
  }

  /** What to do, one step below the other. */
  function steps(help) {
    return make("ol", { className: "help" }, ...help.map((textContent) => make("li", { textContent })));
  }

  /** A step that stays due. */
  function due({ step, state, because, "forbids-spraying": forbids }) {
    const name = make("b", { textContent: step });
    const words = make("span", { className: forbids ? "state due" : "state", textContent: state });
    return make("li", { className: forbids ? "forbids" : "" }, sign(forbids ? "off" : "noted"), name, " ", words, line("because", because));
  }

  return { make, parts, mark, items, finding, due };
})();
