// What the page keeps in the phone: every visit as it is typed, so that it outlives the browser. Never deletes without asking.
//
// A classic script that leaves one name, `swathlintStore`. Where the phone refuses to keep anything, `refused` is true, visits
// live in the page alone, and nothing throws.
"use strict";

var swathlintStore = (function () {
  const VISIT = "swathlint/visit/";
  const DELETED = "swathlint/deleted/";
  const LEFT_HANDED = "swathlint/left-handed";

  let refused = false;

  /** What an access to the storage gives; none where the phone refuses it. */
  function tried(access) {
    try {
      return access(window.localStorage);
    } catch (fault) {
      refused = true;
      return null;
    }
  }

  const probe = "swathlint/probe";
  tried((storage) => {
    storage.setItem(probe, probe);
    refused = storage.getItem(probe) !== probe;
    storage.removeItem(probe);
  });

  const isText = (value) => typeof value === "string";
  const isTyped = (one) => Array.isArray(one) && one.length === 2 && one.every(isText);

  /** Whether something that was kept, or comes from a file, has the shape of a visit. */
  function isVisit(kept) {
    const isObject = typeof kept === "object" && kept !== null;
    const isLog = isObject && Array.isArray(kept.log) && kept.log.every(isTyped);
    const isMaybeText = (value) => value === undefined || isText(value);
    const isRecorded = isObject && (kept.recorded === undefined || (Number.isSafeInteger(kept.recorded) && kept.recorded >= 0));
    return isLog && isRecorded && [kept.machine, kept.setup, kept.day].every(isText) && [kept.record, kept.path].every(isMaybeText);
  }

  /** A visit out of a text; none where it is none. */
  function read(text) {
    try {
      const kept = JSON.parse(text);
      return isVisit(kept) ? kept : null;
    } catch (fault) {
      return null;
    }
  }

  const below = (start, machine) => `${start}${encodeURIComponent(machine)}/`;

  /** A new name to keep a visit by, which no other has. */
  function newKey({ machine, setup, day }) {
    const begun = `${Date.now().toString(36)}-${Math.random().toString(36).slice(2, 8)}`;
    return `${below(VISIT, machine)}${encodeURIComponent(setup)}/${day}/${begun}`;
  }

  /** What is kept of a machine below a beginning of keys: key, and visit or none where it cannot be read; the latest first. */
  function keptBelow(start, machine) {
    const found = tried((storage) => {
      const keys = Array.from({ length: storage.length }, (_, at) => storage.key(at));
      const own = keys.filter((key) => key !== null && key.startsWith(below(start, machine)));
      return own.map((key) => ({ key, visit: read(storage.getItem(key)) }));
    });
    const when = ({ visit }) => (visit && Number(visit.at)) || 0;
    return (found || []).sort((one, other) => when(other) - when(one));
  }

  /** Where the records go of the machine's other visits that are kept. */
  function pathsBeside(machine, own) {
    const others = keptBelow(VISIT, machine).filter(({ key, visit }) => key !== own && visit !== null && visit.log.length > 0);
    return others.map(({ visit }) => visit.path).filter(isText);
  }

  /** Keeps a visit; says whether it is kept. */
  function keep(key, visit) {
    const kept = tried((storage) => {
      storage.setItem(key, JSON.stringify({ ...visit, at: Date.now() }));
      return true;
    });
    return kept === true;
  }

  /** Sets a visit aside; only the one that was deleted last can be brought back. */
  function remove(machine, key) {
    tried((storage) => {
      for (const { key: earlier } of keptBelow(DELETED, machine)) {
        storage.removeItem(earlier);
      }
      storage.setItem(DELETED + key.slice(VISIT.length), storage.getItem(key));
      storage.removeItem(key);
    });
  }

  /** Brings the visit back that was deleted last. */
  function bringBack(machine) {
    tried((storage) => {
      for (const { key } of keptBelow(DELETED, machine)) {
        storage.setItem(VISIT + key.slice(DELETED.length), storage.getItem(key));
        storage.removeItem(key);
      }
    });
  }

  /** Asks the browser not to drop what is kept when room is short. */
  function stay() {
    const { storage } = navigator;
    if (storage && storage.persist) {
      storage.persist().catch(() => {});
    }
  }

  return {
    get refused() {
      return refused;
    },
    kept: (machine) => keptBelow(VISIT, machine),
    deleted: (machine) => keptBelow(DELETED, machine),
    ...{ newKey, pathsBeside, keep, remove, bringBack, read, stay },
    isLeftHanded: () => tried((storage) => storage.getItem(LEFT_HANDED)) === "yes",
    setLeftHanded: (is) => tried((storage) => storage.setItem(LEFT_HANDED, is ? "yes" : "no")),
  };
})();
