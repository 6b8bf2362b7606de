// Whatever is asked gets an answer, and its memory is given back.
import assert from "node:assert/strict";
import path from "node:path";
import test from "node:test";
import { TODAY, chance, judge, recordsIn, root } from "./harness.mjs";

const files = recordsIn(path.join(root, "fixtures/saltmere"));
const deep = (open, close, times) => open.repeat(times) + close.repeat(times);

const NO_REQUESTS = {
  nothing: "",
  "a letter": "x",
  "a number": "1e999",
  "no object": "[]",
  "an empty object": "{}",
  "an unknown request": '{"delete": {}}',
  "an unknown key": '{"check": {"all": true}}',
  "two requests": '{"check": {}, "made-of": {}}',
  "a missing key": '{"open": {"files": {}}}',
  "a wrong type": '{"set": {"path": 3, "text": []}}',
  "a day that is none": '{"open": {"files": {}, "today": "2026-02-30"}}',
  "a path out of the records": '{"open": {"files": {"../fleet.yaml": ""}, "today": "2026-06-01"}}',
  "half a letter": '{"set": {"path": "\\ud800", "text": ""}}',
  "lists in lists": deep("[", "]", 200_000),
  "objects in objects": deep('{"open":', "}", 200_000),
  "a long word": JSON.stringify({ ["x".repeat(1_000_000)]: {} }),
  "a key that hides": '{"\\u202e\\u0000": {}}',
  "no UTF-8": Uint8Array.of(0x7b, 0xff, 0xfe, 0x7d),
  "zeros": new Uint8Array(1_000_000),
};

test("what is no request is told so, shortly, and nothing else changes", async () => {
  const one = await judge();
  one.ask({ open: { files, today: TODAY } });
  const before = one.ask({ check: {} }).report;
  for (const [name, request] of Object.entries(NO_REQUESTS)) {
    const { error, stopped } = one.askText(request);
    assert.equal(typeof error, "string", name);
    assert.ok(error.length > 10 && error.length <= 150, `${name}: ${error.length}`);
    assert.equal(stopped, undefined, `${name}: ${error}`);
    assert.doesNotMatch(error, /[\u0000-\u001f\u202e]/, name);
  }
  assert.equal(one.ask({ check: {} }).report, before);
});

test("nothing is judged before records are open", async () => {
  const one = await judge();
  assert.match(one.ask({ check: {} }).error, /no records are open/);
  assert.match(one.ask({ set: { path: "fleet.yaml", text: "" } }).error, /no records are open/);
});

test("any text may stand in a record", async () => {
  const one = await judge();
  const texts = [
    ...["", "\u0000", "\ufeff", "- ".repeat(100_000), deep("[", "]", 100_000), deep("{a: ", "}", 100_000)],
    ...["a: &a [*a, *a]", "? ".repeat(50_000), "x".repeat(2_000_000), "date: 9999-99-99", '"\\ud800"'],
    "record: calibration\ncatch-tests: " + deep("[", "]", 120),
  ];
  for (const path of ["fleet.yaml", "waivers.yaml", "machines/heron.yaml", "calibrations/heron/2026-03-09.yaml"]) {
    one.ask({ open: { files, today: TODAY } });
    for (const text of texts) {
      assert.equal(one.ask({ set: { path, text } }).error, undefined);
      const { report, error } = one.ask({ check: {} });
      assert.equal(error, undefined, `${path} with ${text.slice(0, 20)}`);
      assert.ok(report.length > 0);
    }
  }
});

test("records with letters changed by chance", async () => {
  const one = await judge();
  one.ask({ open: { files, today: TODAY } });
  const random = chance(7);
  const names = Object.keys(files);
  for (let time = 0; time < 300; time += 1) {
    const name = random.one(names);
    const letters = [...files[name]];
    for (let change = 0; change < 3; change += 1) {
      letters[random.below(letters.length)] = random.one([":", "\n", "-", "9", "\u0000", "\u{1d11e}", "[", "%", ""]);
    }
    one.ask({ set: { path: name, text: letters.join("") } });
    assert.equal(one.ask({ check: {} }).error, undefined, name);
    one.ask({ set: { path: name, text: files[name] } });
  }
});

test("memory is given back", async () => {
  const one = await judge();
  const large = JSON.stringify({ set: { path: "fleet.yaml", text: "x".repeat(4_000_000) } });
  const round = () => {
    one.ask({ open: { files, today: TODAY } });
    one.ask({ check: {} });
    one.askText(large);
    one.ask({ check: {} });
    one.askText(large.slice(0, -1));
    one.askText(new Uint8Array(8_000_000));
  };
  for (let time = 0; time < 5; time += 1) {
    round();
  }
  const after = one.memory;
  for (let time = 0; time < 40; time += 1) {
    round();
  }
  assert.ok(one.memory <= after + 4 * 65_536, `${after} bytes, then ${one.memory}`);
  assert.ok(one.memory < 200_000_000, `${one.memory} bytes`);
});
