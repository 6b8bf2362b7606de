// The page of a visit: asks the judge at each value that is typed, keeps what was typed, and shows what the judge says.
//
// Judges and works out nothing: every word of a visit is the judge's.
"use strict";

(function () {
  const at = (id) => document.getElementById(id);
  const { make, parts: draw, mark, items } = swathlintDraw;
  const store = swathlintStore;
  const { say } = swathlintShow;
  const carried = JSON.parse(at("carried").textContent);

  /** So long nothing is typed before a value is judged that nobody has left yet, in milliseconds. */
  const PAUSE = 400;

  let judge = null;
  /** The visit that is open: key in the store, what is kept of it, whether the cautions were seen. */
  let visit = null;
  let form = null;
  let soFar = null;
  let drawn = [];
  let boxes = new Map();
  /** The box that is typed into: what the log had before it, whether it has it now. */
  let open = { key: "", before: 0, isIn: false };
  /** What was typed and not judged yet. */
  let pending = null;
  let timer = 0;
  let isExported = false;
  /** Whether the record stays kept as it was: the records have changed since, and nothing was typed with them yet. */
  let isRecordOld = false;

  function notice(text) {
    say("starting", text);
    at("starting").hidden = text === "";
  }

  // --- Asking

  /** An answer; none where something went wrong, which is then told. */
  function ask(request) {
    const answer = judge.ask(request);
    if (answer.error === undefined) {
      return answer;
    }
    notice(answer.error);
    if (answer.stopped) {
      judge.restored.then((isBack) => {
        const again = isBack ? ask({ "so-far": {} }) : null;
        if (again) {
          show(again, true);
        }
      });
    }
    return null;
  }

  function beginning({ key, machine, setup, day, log, record, recorded, path }) {
    const kept = { log, recorded: recorded || 0, record, path, taken: store.pathsBeside(machine, key) };
    return [{ open: { files: carried.files, today: day } }, { begin: { machine, setup, day, kept } }];
  }

  // --- Beginning and going on

  function today() {
    const now = new Date();
    const two = (number) => String(number).padStart(2, "0");
    return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
  }

  function beginAnew(setup, day, seen = false) {
    const { machine } = carried;
    begin({ key: null, machine, setup, day, log: [], seen });
  }

  /** Shows the form of a visit, empty or as it was kept. */
  function begin(wanted) {
    clearTimeout(timer);
    pending = null;
    notice("");
    at("kept").hidden = true;
    at("visit-is").hidden = false;
    visit = wanted;
    at("setup").value = visit.setup;
    at("day").value = visit.day;
    at("setup").disabled = at("day").disabled = visit.log.length > 0;
    if (visit.setup === "") {
      notice("Choose the setup.");
      at("visit").hidden = at("bar").hidden = true;
      return;
    }
    const [records, first] = beginning(visit);
    form = ask(records) && ask(first);
    const answer = form && ask({ "so-far": {} });
    at("visit").hidden = at("bar").hidden = answer === null;
    if (answer === null) {
      return;
    }
    ({ drawn, boxes } = draw(form, { typing, left, opened, entered, chosen, askedAgain }));
    at("parts").replaceChildren(...drawn.map(({ element }) => element));
    at("cautions-list").replaceChildren(...form.cautions.map((text) => make("li", { textContent: text })));
    say("subtitle", form.subtitle);
    say("record-path", form.path);
    open = { key: "", before: answer.log.length, isIn: false };
    isExported = false;
    isRecordOld = form.notice !== "" && visit.record !== undefined;
    showCautions();
    show(answer, true);
    notice(form.notice);
    for (const [key, { part }] of boxes) {
      part.element.open = part.element.open || answer.typed[key] !== undefined;
    }
    if (visit.seen && visit.log.length > 0 && form.notice === "") {
      goTo(answer.next.value);
    }
  }

  function showCautions() {
    for (const id of ["parts", "findings", "due", "record", "bar"]) {
      at(id).hidden = !visit.seen;
    }
    at("cautions").hidden = visit.seen;
  }

  function cautionsSeen() {
    visit.seen = true;
    showCautions();
    goTo(soFar.next.value);
  }

  // --- Typing

  function typing({ entry, input }) {
    if (pending !== null && pending.key !== entry.key) {
      judgeNow();
    }
    pending = { key: entry.key, text: input.value };
    isExported = isRecordOld = false;
    keep();
    clearTimeout(timer);
    timer = setTimeout(judgeSoon, PAUSE);
  }

  function left() {
    judgeSoon();
  }

  /** Judges what was typed once no finger is down, so that what is tapped stays under the finger. */
  function judgeSoon() {
    clearTimeout(timer);
    if (swathlintScreen.isPressed) {
      timer = setTimeout(judgeSoon, 50);
    } else {
      judgeNow();
    }
  }

  function opened({ entry }) {
    judgeNow();
    open = { key: entry.key, before: soFar.log.length, isIn: false };
    at("quick").hidden = entry.kind !== "reading";
    centered(entry.key);
  }

  /** Goes on; what is empty is left. */
  function entered({ entry }) {
    judgeNow();
    const answer = soFar.typed[entry.key] === undefined ? ask({ leave: { value: entry.key } }) : null;
    if (answer !== null) {
      show(answer, false);
    }
    goTo(soFar.next.value);
  }

  /** A choice with one tap; the same again takes it back. */
  function chosen({ entry, input }, choice) {
    judgeNow();
    open = { key: entry.key, before: soFar.log.length, isIn: false };
    at("quick").hidden = true;
    const stands = soFar.typed[entry.key] || "";
    if (entry.kind === "several") {
      const all = items(stands);
      const rest = all.filter((item) => item !== choice);
      input.value = (rest.length < all.length ? rest : [...all, choice]).join(", ");
    } else {
      input.value = stands === choice ? "" : choice;
    }
    typing({ entry, input });
    judgeNow();
  }

  /** Has what was typed judged. */
  function judgeNow() {
    clearTimeout(timer);
    if (pending === null) {
      return;
    }
    const { key, text } = pending;
    if (open.key !== key) {
      open = { key, before: soFar.log.length, isIn: false };
    }
    const answer = ask({ type: { value: key, text, again: open.isIn } });
    pending = null;
    if (answer !== null) {
      open.isIn = answer.log.length > open.before;
      notice("");
      show(answer, false);
    }
  }

  function undo() {
    judgeNow();
    const last = soFar.log[soFar.log.length - 1];
    const answer = ask({ undo: {} });
    if (answer === null || last === undefined) {
      return;
    }
    open = { key: "", before: answer.log.length, isIn: false };
    isExported = isRecordOld = false;
    show(answer, true);
    goTo(last[0]);
  }

  function askedAgain({ part }) {
    judgeNow();
    const answer = ask({ again: { step: part.step } });
    if (answer !== null) {
      show(answer, false);
      goTo(answer.next.value);
    }
  }

  // --- Keeping

  function keep() {
    const log = pending === null ? visit.log : [...visit.log, [pending.key, pending.text.trim()]];
    if (log.length === 0 && visit.key === null) {
      return;
    }
    visit.key = visit.key || store.newKey(visit);
    store.keep(visit.key, { ...kept(), log });
    swathlintShow.keeping(visit !== null);
  }

  /** What is kept of the visit: its record as well, by which the judge sees later whether the records have changed. */
  function kept() {
    const { machine, setup, day, seen, log, record, recorded, path } = visit;
    return { machine, setup, day, seen, log, record, recorded, path };
  }

  // --- Showing

  function show(answer, isForced) {
    soFar = answer;
    visit.log = answer.log;
    if (!isRecordOld) {
      visit.record = answer.record;
      visit.recorded = answer.log.length;
      visit.path = form.path;
    }
    keep();
    const isBegun = answer.log.length > 0;
    at("setup").disabled = at("day").disabled = isBegun;
    for (const one of boxes.values()) {
      mark(one, answer, !isForced && one.input === document.activeElement);
    }
    at("undo").disabled = !isBegun;
    swathlintShow.soFar(answer, boxes, drawn);
    at("record-text").value = answer.record;
    if (at("report-text").closest("details").open) {
      showReport();
    }
  }

  function showReport() {
    const checked = ask({ check: {} });
    if (checked !== null) {
      at("report-text").value = checked.report;
    }
  }

  // --- Going on

  function goTo(key) {
    const one = key === null ? undefined : boxes.get(key);
    if (one === undefined) {
      const record = at("record");
      record.focus();
      record.scrollIntoView({ block: "start" });
      return;
    }
    one.part.element.open = true;
    const isChoice = one.entry.kind === "one-of";
    const target = isChoice ? one.chips[0] : one.input;
    target.focus({ preventScroll: true });
    centered(key);
  }

  function centered(key) {
    const isCalm = matchMedia("(prefers-reduced-motion: reduce)").matches;
    boxes.get(key).root.scrollIntoView({ block: "center", behavior: isCalm ? "auto" : "smooth" });
  }

  /** The box that is typed into, where one is. */
  function active() {
    return [...boxes.values()].find(({ root }) => root.contains(document.activeElement));
  }

  function next() {
    const one = active();
    if (one) {
      entered(one);
    } else {
      goTo(soFar.next.value);
    }
  }

  /** Types into the nozzle's box with one tap. */
  function quick(text) {
    const one = active() || boxes.get(open.key);
    if (one && one.isNozzle) {
      one.input.value = text;
      typing(one);
      entered(one);
    }
  }

  // --- Visits that are kept

  function showKept() {
    if (visit !== null) {
      judgeNow();
    }
    visit = null;
    at("visit").hidden = at("bar").hidden = at("visit-is").hidden = true;
    say("subtitle", "");
    notice("");
    at("kept").hidden = false;
    swathlintKept.show(carried, { begin });
  }

  // --- Giving the record away

  function record() {
    judgeNow();
    const answer = ask({ record: {} });
    if (answer !== null) {
      at("record-text").value = answer.text;
    }
    return answer;
  }

  function backup() {
    judgeNow();
    return { name: `visit-${visit.day}.json`, text: JSON.stringify(kept()) };
  }

  // --- The page itself

  function listen() {
    const on = (id, event, act) => at(id).addEventListener(event, act);
    on("cautions-seen", "click", cautionsSeen);
    on("next", "click", next);
    on("undo", "click", undo);
    on("to-findings", "click", () => {
      judgeNow();
      at("findings").focus();
      at("findings").scrollIntoView({ block: "start" });
    });
    on("to-kept", "click", showKept);
    on("begin-anew", "click", () => beginAnew(firstSetup(), firstDay()));
    on("setup", "change", () => beginAnew(at("setup").value, visit.day, visit.seen));
    on("day", "change", () => beginAnew(visit.setup, at("day").value, visit.seen));
    on("backup", "change", () => swathlintKept.openBackup(carried, at("backup"), { begin }));
    swathlintGive.listen({ record, backup, given: () => (isExported = true) });
    swathlintScreen.listen();
    at("report-text").closest("details").addEventListener("toggle", showReport);
    for (const button of at("quick").children) {
      button.addEventListener("click", () => quick(button.dataset.text));
    }
    window.addEventListener("pagehide", judgeNow);
    window.addEventListener("beforeunload", (event) => {
      if (store.refused && visit !== null && visit.log.length > 0 && !isExported) {
        event.preventDefault();
        event.returnValue = "";
      }
    });
    window.addEventListener("storage", (event) => {
      if (visit !== null && event.key === visit.key && event.newValue !== null) {
        notice("This visit is open in another tab as well. Close one of them: what is typed last replaces the other.");
      }
    });
  }

  const firstSetup = () => (carried.setups.length === 1 ? carried.setups[0].name : "");
  const firstDay = () => carried.day || today();

  function head() {
    const title = `${carried.shown}: calibration visit`;
    document.title = title;
    say("title", carried.shown);
    const options = carried.setups.map(({ name, shown }) => make("option", { value: name, textContent: shown }));
    if (carried.setups.length > 1) {
      options.unshift(make("option", { value: "", textContent: "choose" }));
    }
    at("setup").replaceChildren(...options);
    at("kept-title").tabIndex = -1;
    const sharing = swathlintGive.shareable("record.yaml", "record");
    at("share").hidden = sharing === null;
    swathlintScreen.setHand(store.isLeftHanded());
  }

  const CANNOT_JUDGE =
    "This browser has no WebAssembly, so that nothing can be judged here. Use a newer browser. " +
    "Or write the readings on paper, and type them into a record at a desk.";

  async function start() {
    head();
    if (typeof WebAssembly !== "object") {
      notice(CANNOT_JUDGE);
      return;
    }
    notice("Unpacking the judge: a moment.");
    try {
      const packed = { unpacker: at("unpacker").textContent.trim(), module: at("module").textContent.trim() };
      judge = await swathlintJudge.start(packed, {
        restore: () => (visit === null ? [] : beginning(visit)),
      });
    } catch (fault) {
      notice(`The judge could not be started (${fault.message}). Write the readings on paper, and type them into a record at a desk.`);
      return;
    }
    listen();
    store.stay();
    swathlintShow.keeping(visit !== null);
    if (swathlintKept.isAny(carried)) {
      showKept();
    } else {
      beginAnew(firstSetup(), firstDay());
    }
    document.documentElement.dataset.ready = "yes";
  }

  start();
})();
