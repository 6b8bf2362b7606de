// The module is unpacked as it was packed; what is broken is told, and never taken for a module.
import assert from "node:assert/strict";
import fs from "node:fs";
import path from "node:path";
import test from "node:test";
import { built, chance, judge, packedModule, root, unpackedBy } from "./harness.mjs";

const packed = built("module.wasm.lzma");
const unpacker = await WebAssembly.compile(built("unpacker.wasm"));
const SIZE_AT = 5;
const HEADER = 13;
const size = packed.readBigUInt64LE(SIZE_AT);

/** How many bytes are unpacked of something. */
async function length(bytes) {
  const { exports } = await WebAssembly.instantiate(unpacker, {});
  const at = exports.room(bytes.length) >>> 0;
  new Uint8Array(exports.memory.buffer, at, bytes.length).set(bytes);
  return exports.unpack() >>> 0;
}

function changed(change) {
  const bytes = Buffer.from(packed);
  change(bytes);
  return bytes;
}

const withSize = (other) => changed((bytes) => bytes.writeBigUInt64LE(other, SIZE_AT));

test("unpacked, the module is what was built", async () => {
  const target = process.env.CARGO_TARGET_DIR ?? path.join(root, "target");
  const module = fs.readFileSync(path.join(target, "page-build/module.wasm"));
  assert.ok((await unpackedBy(built("unpacker.wasm"), packed)).equals(module));
  assert.equal(BigInt(module.length), size);
});

test("the unpacker asks for nothing from outside, and both leave room for the rest of a page of 2,000,000 bytes", () => {
  assert.deepEqual(WebAssembly.Module.imports(unpacker), []);
  const texts = Object.values(packedModule());
  const letters = texts.reduce((sum, text) => sum + text.length, 0);
  assert.ok(letters < 1_700_000, `${letters} letters`);
});

test("a file cut anywhere is broken", async () => {
  const random = chance(11);
  const ends = [0, 1, SIZE_AT, HEADER - 1, HEADER, HEADER + 4, HEADER + 5, packed.length - 1];
  for (let time = 0; time < 30; time += 1) {
    ends.push(random.below(packed.length));
  }
  for (const end of ends) {
    assert.equal(await length(packed.subarray(0, end)), 0, `cut at ${end}`);
  }
});

test("a file with a changed bit is broken", async () => {
  const random = chance(12);
  for (let time = 0; time < 60; time += 1) {
    const at = HEADER + random.below(packed.length - HEADER);
    const bytes = changed((bytes) => (bytes[at] ^= 1 << random.below(8)));
    assert.equal(await length(bytes), 0, `changed at ${at}`);
  }
});

test("a file that tells another size, or goes on behind its end, is broken", async () => {
  for (const other of [0n, 1n, size - 1n, size + 1n, (32n << 20n) + 1n, 1n << 32n, (1n << 64n) - 1n]) {
    assert.equal(await length(withSize(other)), 0, `${other} bytes`);
  }
  assert.equal(await length(Buffer.concat([packed, Buffer.of(0)])), 0);
  assert.equal(await length(packed), Number(size));
});

test("what is no such file is broken", async () => {
  const random = chance(13);
  for (let time = 0; time < 200; time += 1) {
    const bytes = Buffer.from(Array.from({ length: 13 + random.below(3000) }, () => random.below(256)));
    bytes[0] = random.below(225);
    bytes[HEADER] = 0;
    bytes.writeBigUInt64LE(BigInt(random.below(100_000) + 1_000), SIZE_AT);
    assert.equal(await length(bytes), 0);
  }
});

test("a page whose judge is broken says so", async () => {
  const { unpacker, module } = packedModule();
  const broken = {
    "a cut module": { unpacker, module: module.slice(0, 40_000) },
    "no module": { unpacker, module: "" },
    "a module that is no base64": { unpacker, module: "%" },
    "a cut unpacker": { unpacker: unpacker.slice(0, 4_000), module },
    "no unpacker": { unpacker: "", module },
    "a module in the place of the unpacker": { unpacker: module, module },
  };
  for (const [name, packed] of Object.entries(broken)) {
    await assert.rejects(judge({}, packed), /^Error: the judge could not be unpacked: the page is broken/, name);
  }
});
