// The visits that are kept in the phone, as a list: gone on with, deleted, brought back, opened from a backup.
//
// A classic script that leaves one name, `swathlintKept`.
"use strict";

var swathlintKept = (function () {
  const { make } = swathlintDraw;
  const store = swathlintStore;
  const at = (id) => document.getElementById(id);

  const isAny = ({ machine }) => store.kept(machine).length > 0 || store.deleted(machine).length > 0;

  /** Shows the list. `on` has what happens: `begin(visit)`. */
  function show(carried, on) {
    const again = (words) => {
      show(carried, on);
      at("kept-says").textContent = words;
    };
    const kept = store.kept(carried.machine).map((one) => keptLine(carried, one, on, again));
    const deleted = store.deleted(carried.machine).map((one) => deletedLine(carried, one, again));
    at("kept-list").replaceChildren(...kept, ...deleted);
  }

  /** The setup as it is shown; none where the page does not have it. */
  function shownSetup({ setups }, name) {
    const setup = setups.find((one) => one.name === name);
    return setup ? setup.shown : null;
  }

  const buttons = (...all) => make("p", { className: "buttons" }, ...all);

  function keptLine(carried, { key, visit }, on, again) {
    const remove = make("button", { type: "button", textContent: "Delete" });
    remove.addEventListener("click", () => {
      store.remove(carried.machine, key);
      again("Deleted. You can bring it back.");
      at("kept-title").focus();
    });
    const setup = visit && shownSetup(carried, visit.setup);
    if (!visit || setup === null) {
      const words = visit ? "A visit of a setup that this page does not have" : "A visit that cannot be read";
      return make("li", {}, make("p", { textContent: words }), buttons(remove));
    }
    const values = new Set(visit.log.map(([name]) => name)).size;
    const resume = make("button", { type: "button", className: "main-button", textContent: "Go on" });
    resume.addEventListener("click", () => on.begin({ key, ...visit, seen: visit.seen === true }));
    const typed = `${values} ${values === 1 ? "value" : "values"} typed`;
    return make("li", {}, make("p", {}, make("b", { textContent: setup }), `, ${visit.day}, ${typed}`), buttons(resume, remove));
  }

  function deletedLine(carried, { visit }, again) {
    const back = make("button", { type: "button", textContent: "Bring it back" });
    back.addEventListener("click", () => {
      store.bringBack(carried.machine);
      again("It is back.");
    });
    const words = visit ? `Deleted: ${shownSetup(carried, visit.setup) || "another setup"}, ${visit.day}` : "Deleted";
    return make("li", { className: "deleted" }, make("p", { textContent: words }), buttons(back));
  }

  async function openBackup(carried, input, on) {
    const [file] = input.files;
    const visit = file ? store.read(await file.text()) : null;
    const isOwn = visit !== null && visit.machine === carried.machine && shownSetup(carried, visit.setup) !== null;
    input.value = "";
    if (isOwn) {
      on.begin({ ...visit, key: null, seen: visit.seen === true });
    } else {
      const words = visit === null ? "This file is no backup of a visit." : "This backup is of another machine or setup.";
      at("kept-says").textContent = words;
    }
  }

  return { isAny, show, openBackup };
})();
