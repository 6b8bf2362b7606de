// How a record leaves the page: shared, saved as a file, or copied. Sends nothing by itself.
//
// A classic script that leaves one name, `swathlintGive`.
"use strict";

var swathlintGive = (function () {
  const nameOf = (path) => path.split("/").pop();

  /** Saves a text as a file. */
  function save(name, text, type) {
    const address = URL.createObjectURL(new Blob([text], { type }));
    const link = swathlintDraw.make("a", { href: address, download: name, hidden: true });
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(address), 60_000);
  }

  /** What can be shared of a record; none where this browser shares nothing. */
  function shareable(path, text) {
    if (!navigator.share || !navigator.canShare) {
      return null;
    }
    const file = new File([text], nameOf(path), { type: "text/plain" });
    const ways = [{ files: [file], title: nameOf(path) }, { text, title: path }];
    return ways.find((way) => navigator.canShare(way)) || null;
  }

  /** Copies a text; where that is refused it is left selected in its area. Says what happened. */
  async function copy(area) {
    try {
      await navigator.clipboard.writeText(area.value);
      return "Copied.";
    } catch (fault) {
      area.closest("details").open = true;
      area.focus();
      area.select();
      return document.execCommand("copy") ? "Copied." : "The text is selected: copy it.";
    }
  }

  const at = (id) => document.getElementById(id);
  const say = (words) => (at("export-says").textContent = words);

  /** What happened, and what the record lacks. */
  const andLeftOut = (words, made) => [words, made["left-out"]].filter(Boolean).join(" ");

  /** `record()` gives the record, `backup()` what was typed; `given()` is called where the record has left the page. */
  function listen({ record, backup, given }) {
    const on = (id, act) => at(id).addEventListener("click", act);
    on("save", () => {
      const made = record();
      if (made !== null) {
        save(nameOf(made.path), made.text, "application/yaml");
        given();
        say(andLeftOut(`Saved as ${nameOf(made.path)} among the downloads.`, made));
      }
    });
    on("save-backup", () => {
      const { name, text } = backup();
      save(name, text, "application/json");
      say("The backup is saved among the downloads. Any copy of this page for the machine can open it.");
    });
    on("share", () => share(record(), given));
    on("copy", async () => {
      const made = record();
      if (made !== null) {
        say(andLeftOut(await copy(at("record-text")), made));
      }
    });
  }

  async function share(made, given) {
    const way = made && shareable(made.path, made.text);
    if (!way) {
      return;
    }
    try {
      await navigator.share(way);
      given();
      say(andLeftOut("Shared.", made));
    } catch (fault) {
      say(fault.name === "AbortError" ? "Not shared." : "This phone could not share it: save or copy it.");
    }
  }

  return { shareable, listen };
})();
