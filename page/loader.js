// The judge in a page: unpacks the module, asks it, and begins anew where it stops. Asks nothing of any address.
//
// A classic script, since a page opened from a file may not load modules. It leaves one name, `swathlintJudge`.
//
//   const judge = await swathlintJudge.start(packed);    // packed: { unpacker, module }, what page/build made, as base64
//   const answer = judge.ask({ check: {} });             // an object; `answer.error` says what went wrong
//
// A judge that stops answers `{ error, stopped: true }`, and a new one is begun at once: `judge.restored` is a promise of it.
// The new one knows nothing, so whoever starts a judge may give requests that bring it to where the old one was:
//
//   swathlintJudge.start(packed, { restore: () => [{ open: { files, today } }] })
"use strict";

var swathlintJudge = (function () {
  const STOPPED = "the judge stopped: too little memory, or a text nested too deeply";
  const STARTING = "the judge is starting again";
  const GONE = "the judge stopped and could not start again: open the page again";
  const NOT_UNPACKED = "the judge could not be unpacked: the page is broken, or there is too little memory";
  const NO_ROOM = "there is not enough memory for this request";

  /** The bytes of a text in base64. */
  function bytesOf(text) {
    const letters = atob(text);
    const bytes = new Uint8Array(letters.length);
    for (let at = 0; at < letters.length; at += 1) {
      bytes[at] = letters.charCodeAt(at);
    }
    return bytes;
  }

  /** The bytes of a packed module, unpacked by the other module; throws where that cannot be. */
  async function unpackedBy(unpacker, packed) {
    const { instance } = await WebAssembly.instantiate(unpacker, {});
    const { memory, room, unpack, unpacked } = instance.exports;
    const at = room(packed.length) >>> 0;
    if (at === 0) {
      throw new Error(NO_ROOM);
    }
    new Uint8Array(memory.buffer, at, packed.length).set(packed);
    const length = unpack() >>> 0;
    if (length === 0) {
      throw new Error(NOT_UNPACKED);
    }
    return new Uint8Array(memory.buffer, unpacked() >>> 0, length);
  }

  async function compiled({ unpacker, module }) {
    try {
      return await WebAssembly.compile(await unpackedBy(bytesOf(unpacker), bytesOf(module)));
    } catch (fault) {
      throw new Error(NOT_UNPACKED, { cause: fault });
    }
  }

  /** A judge of a compiled module. */
  class Judge {
    #module;
    #restore;
    #exports = null;
    #whyNot = STARTING;

    /** A promise: true once the judge that took the place of one that stopped is where that one was. */
    restored = Promise.resolve(true);

    constructor(module, restore) {
      this.#module = module;
      this.#restore = restore;
    }

    async begin() {
      const instance = await WebAssembly.instantiate(this.#module, {});
      this.#exports = instance.exports;
    }

    /** The answer to a request; never throws because of what is asked. */
    ask(request) {
      return this.askText(JSON.stringify(request));
    }

    /** The same for a request that is text already, or bytes. */
    askText(request) {
      if (this.#exports === null) {
        return { error: this.#whyNot };
      }
      try {
        return JSON.parse(this.#passedOn(request));
      } catch (fault) {
        const error = this.#message();
        this.#exports = null;
        this.restored = this.#again();
        return { error, stopped: true };
      }
    }

    /** How many bytes of memory the module has. */
    get memory() {
      return this.#exports === null ? 0 : this.#exports.memory.buffer.byteLength;
    }

    #passedOn(request) {
      const bytes = typeof request === "string" ? new TextEncoder().encode(request) : request;
      const exports = this.#exports;
      const at = exports.allocate(bytes.length) >>> 0;
      if (at === 0) {
        return JSON.stringify({ error: NO_ROOM });
      }
      new Uint8Array(exports.memory.buffer, at, bytes.length).set(bytes);
      exports.answer(at, bytes.length);
      return this.#answered();
    }

    #answered() {
      const { answered, answered_length, memory } = this.#exports;
      return new TextDecoder().decode(new Uint8Array(memory.buffer, answered() >>> 0, answered_length() >>> 0));
    }

    /** What a judge that stopped left behind. */
    #message() {
      try {
        return JSON.parse(this.#answered()).error || STOPPED;
      } catch (fault) {
        return STOPPED;
      }
    }

    /** What stops this one too is not tried a second time. */
    async #again() {
      this.#whyNot = STARTING;
      try {
        await this.begin();
        const answers = this.#restore().map((request) => JSON.parse(this.#passedOn(JSON.stringify(request))));
        return answers.every((answer) => answer.error === undefined);
      } catch (fault) {
        this.#exports = null;
        this.#whyNot = GONE;
        return false;
      }
    }
  }

  /** A judge of a packed module. */
  async function start(packed, { restore = () => [] } = {}) {
    const judge = new Judge(await compiled(packed), restore);
    await judge.begin();
    return judge;
  }

  return { start };
})();
