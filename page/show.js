// Shows what the judge says of a visit: what is next, what is found, what stays due. Judges and works out nothing.
//
// A classic script that leaves one name, `swathlintShow`.
"use strict";

var swathlintShow = (function () {
  const { make } = swathlintDraw;
  const at = (id) => document.getElementById(id);

  function say(id, text) {
    const element = at(id);
    if (element.textContent !== text) {
      element.textContent = text;
    }
  }

  /** Shows an answer around the boxes. */
  function soFar(answer, boxes, drawn) {
    later(answer, boxes, drawn);
    next(answer, boxes);
    findings(answer.findings);
    stays(answer);
  }

  /** Of the tests that are made again, what the judge shows. */
  function later(answer, boxes, drawn) {
    const shown = new Set(answer.shown);
    for (const { entry, root } of boxes.values()) {
      root.hidden = entry.round > 1 && !shown.has(entry.key);
    }
    for (const { part, laters, button } of drawn) {
      for (const element of laters.values()) {
        element.hidden = element.querySelector(".box:not([hidden])") === null;
      }
      if (button) {
        button.hidden = !answer.again.includes(part.step);
      }
    }
  }

  function next({ next: { value, words } }, boxes) {
    say("says", words);
    const one = value === null ? undefined : boxes.get(value);
    say("next", one ? "Next" : "Record");
    at("next").setAttribute("aria-label", one ? `Next: ${one.entry.label}` : "Go to the record");
    for (const [key, { root }] of boxes) {
      root.classList.toggle("is-next", key === value);
    }
  }

  function findings(all) {
    const heavy = all.find(({ severity }) => severity !== "note");
    say("to-findings", `Found: ${all.length}`);
    at("to-findings").setAttribute("aria-label", `Found: ${all.length}. Go to the findings`);
    at("to-findings").dataset.severity = heavy ? heavy.severity : "";
    const none = make("p", { textContent: "Nothing found so far." });
    at("findings-list").replaceChildren(...(all.length === 0 ? [none] : all.map(swathlintDraw.finding)));
  }

  function stays({ due: all, ready }) {
    say("ready", ready.words);
    at("ready").dataset.ready = ready.word;
    at("due-list").replaceChildren(...all.map(swathlintDraw.due));
    at("not-whole").replaceChildren(...ready.because.map((textContent) => make("li", { textContent })));
  }

  /** Says where what is typed is kept; above the visit where it is nowhere. */
  function keeping(isBegun) {
    const { refused } = swathlintStore;
    const words = refused
      ? "This browser keeps nothing: what you type is gone when the page is closed. Save or share the record before you leave. " +
        "A browser may keep it if the page comes from a web server: any server of plain files will do."
      : "Everything you type is kept on this phone at once, and nowhere else.";
    say("keeping", words);
    at("keeping").classList.toggle("notice", refused);
    if (refused && isBegun) {
      at("cautions").before(at("keeping"));
    }
  }

  return { say, soFar, keeping };
})();
