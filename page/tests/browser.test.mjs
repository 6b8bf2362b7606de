// The module in a browser: a page opened from a file, with the network shut.
import assert from "node:assert/strict";
import path from "node:path";
import test, { after, before } from "node:test";
import { TODAY, barePage, openOffline, recordsIn, reportOf, root, startBrowser } from "./harness.mjs";

const folder = path.join(root, "fixtures/saltmere");
const files = recordsIn(folder);
let browser;
before(async () => {
  browser = await startBrowser();
});
after(() => browser?.close());

for (const slowed of [1, 6]) {
  test(`the demo fleet, as the command line tells it; a processor slowed ${slowed} times`, async (told) => {
    const { page, faults, context } = await openOffline(browser, barePage(), { slowed });
    const ready = await page.evaluate(async () => {
      await swathlintReady;
      return performance.now();
    });
    const { report, opened, first, second } = await page.evaluate(
      async ([files, today]) => {
        const judge = await swathlintReady;
        const timed = (request) => {
          const begun = performance.now();
          const answer = judge.ask(request);
          return { answer, took: performance.now() - begun };
        };
        const opened = timed({ open: { files, today } });
        const first = timed({ check: {} });
        const name = Object.keys(files).findLast((name) => name.startsWith("calibrations/"));
        judge.ask({ set: { path: name, text: files[name] + "# typed\n" } });
        const second = timed({ check: {} });
        return { report: first.answer.report, opened: opened.took, first: first.took, second: second.took };
      },
      [files, TODAY],
    );
    assert.equal(report, reportOf(folder));
    assert.deepEqual(faults, []);
    const rounded = [ready, opened, first, second].map((took) => took.toFixed(1));
    told.diagnostic(`ready ${rounded[0]} ms, open ${rounded[1]} ms, check ${rounded[2]} ms, again ${rounded[3]} ms`);
    await context.close();
  });
}

test("the harness sees what a page asks for", async () => {
  const { faults } = await openOffline(browser, "<img src='https://example.invalid/x.png'><script>throw 1</script>");
  assert.ok(faults.some((fault) => fault.startsWith("asks for https://example.invalid")), faults.join());
  assert.ok(faults.some((fault) => fault.startsWith("throws")), faults.join());
});
