// 200 visits by chance, typed through the page: record, report and lines are those of the command line, byte for byte.
import assert from "node:assert/strict";
import path from "node:path";
import test, { after, before, describe } from "node:test";
import { openOffline, recordsIn, root, run, startBrowser, written } from "./harness.mjs";
import { DESK, WITH_JUDGE, begun, begunAnew, carriedBy, pageOf, typedByChance } from "./visits.mjs";

const VISITS = Number(process.env.PAGE_VISITS ?? 200);

/** Machines with and without sections and a console, in US and in metric units. */
const MACHINES = [
  ...["avocet", "curlew", "dunlin", "godwit", "heron", "knot", "sanderling", "stint", "turnstone", "whimbrel"].map((name) => ["saltmere", name]),
  ...[["benches/plover/good", "plover"], ["benches/robin/good", "robin"], ["benches/lapwing/good", "lapwing"], ["records", "redshank"]],
];

let browser;
before(async () => {
  browser = await startBrowser();
});
after(() => browser?.close());

const counted = { visits: 0, found: 0 };

describe("visits typed by chance", { concurrency: 3 }, () => {
  for (const [at, [fleet, machine]] of MACHINES.entries()) {
    test(`visits of ${machine}, typed by chance`, async () => {
      const records = recordsIn(path.join(root, "fixtures", fleet));
      const html = pageOf(records, machine);
      const carried = carriedBy(html);
      assert.ok(Object.entries(carried).every(([name, text]) => records[name] === text));
      const { page, context, faults } = await openOffline(browser, html, { ...DESK, prepared: WITH_JUDGE, reducedMotion: "reduce" });
      await begun(page);
      for (let seed = at; seed < VISITS; seed += MACHINES.length) {
        const day = `2026-06-${String(1 + (seed % 28)).padStart(2, "0")}`;
        await page.evaluate(begunAnew, day);
        const { path: where, record, report, lines } = await page.evaluate(typedByChance, seed);
        assert.equal(where, `calibrations/${machine}/${day}.yaml`);
        const folder = written({ ...carried, [where]: record });
        const told = (format) => run("check", path.join(folder, where), "--today", day, "--format", format).output;
        assert.equal(report, told("plain"), `seed ${seed}:\n${record}`);
        assert.equal(lines, told("jsonl"), `seed ${seed}:\n${record}`);
        // The other machines' files, which the page does not carry, change nothing but how many files there are.
        const whole = run("check", path.join(written({ ...records, [where]: record }), where), "--today", day, "--format", "plain");
        const findings = (text) => text.split("\n").slice(0, -2);
        assert.deepEqual(findings(report), findings(whole.output), `seed ${seed}`);
        counted.visits += 1;
        const isHeavy = ({ kind, severity }) => kind === "finding" && severity !== "note";
        counted.found += lines.split("\n").filter(Boolean).map((line) => JSON.parse(line)).some(isHeavy) ? 1 : 0;
      }
      assert.deepEqual(faults, []);
      await context.close();
    });
  }
});

test("as many visits as there should be, with faults and without", (told) => {
  assert.equal(counted.visits, VISITS);
  assert.ok(counted.found > VISITS / 5 && counted.found < VISITS, `${counted.found} with findings`);
  told.diagnostic(`${counted.visits} visits, ${counted.found} with errors or warnings`);
});
