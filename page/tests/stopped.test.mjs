// A judge that stops says so, and another takes its place: tried with a module that does nothing but stop.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import fs from "node:fs";
import path from "node:path";
import test from "node:test";
import { judge, newFolder, root } from "./harness.mjs";

/** A module of a text, as base64. */
function assembled(source) {
  const folder = newFolder();
  const [from, to] = [path.join(folder, "module.wat"), path.join(folder, "module.wasm")];
  fs.writeFileSync(from, source);
  const { status, stderr } = spawnSync(path.join(root, "page/node_modules/.bin/wasm-as"), [from, "-o", to]);
  assert.equal(status, 0, String(stderr));
  return fs.readFileSync(to).toString("base64");
}

/** In the place of the unpacker: it gives back what it is given. */
const COPIES = `(module
  (memory (export "memory") 1)
  (global $length (mut i32) (i32.const 0))
  (func (export "room") (param i32) (result i32) (global.set $length (local.get 0)) (i32.const 64))
  (func (export "unpack") (result i32) (global.get $length))
  (func (export "unpacked") (result i32) (i32.const 64)))`;

/** A module that answers the first request, and then stops, leaving a message or nothing. */
function stopping(message) {
  const text = (value) => JSON.stringify(value).replaceAll(/["\\]/g, (letter) => `\\${letter}`);
  const [fine, fault] = [{ fine: true }, { error: message }];
  const lengths = [JSON.stringify(fine).length, message === "" ? 0 : JSON.stringify(fault).length];
  const source = `(module
    (memory (export "memory") 1)
    (global $at (mut i32) (i32.const 64))
    (global $length (mut i32) (i32.const ${lengths[0]}))
    (global $asked (mut i32) (i32.const 0))
    (data (i32.const 64) "${text(fine)}")
    (data (i32.const 256) "${text(fault)}")
    (func (export "allocate") (param i32) (result i32) (i32.const 1024))
    (func (export "answer") (param i32 i32)
      (if (global.get $asked) (then
        (global.set $at (i32.const 256))
        (global.set $length (i32.const ${lengths[1]}))
        (unreachable)))
      (global.set $asked (i32.const 1)))
    (func (export "answered") (result i32) (global.get $at))
    (func (export "answered_length") (result i32) (global.get $length)))`;
  return { unpacker: assembled(COPIES), module: assembled(source) };
}

const plain = (answer) => ({ ...answer });

test("the message of a fault is an answer, and a new judge is brought to where the old one was", async () => {
  const asked = [];
  const restore = () => {
    asked.push("restored");
    return [{ open: {} }];
  };
  const one = await judge({ restore }, stopping("internal error: it broke"));
  assert.deepEqual(plain(one.ask({ check: {} })), { fine: true });
  assert.deepEqual(plain(one.ask({ check: {} })), { error: "internal error: it broke", stopped: true });
  assert.match(one.ask({ check: {} }).error, /starting again/);
  assert.equal(await one.restored, true);
  assert.deepEqual(asked, ["restored"]);
  // The request that restored it was its first.
  assert.equal(one.ask({ check: {} }).stopped, true);
});

test("a judge that stops without a message says what may be the reason", async () => {
  const one = await judge({}, stopping(""));
  one.ask({ check: {} });
  assert.match(one.ask({ check: {} }).error, /the judge stopped/);
});

test("a judge that cannot be restored says so", async () => {
  const restore = () => [{ open: {} }, { open: {} }];
  const one = await judge({ restore }, stopping("again"));
  one.ask({ check: {} });
  one.ask({ check: {} });
  assert.equal(await one.restored, false);
  assert.match(one.ask({ check: {} }).error, /could not start again/);
  assert.equal(one.memory, 0);
});
