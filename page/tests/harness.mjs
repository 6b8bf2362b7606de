// What the tests of the page share: the program, records, the module in node, a browser without a network, chance by a seed.
//
// Asks for nothing of any address. The program is `SWATHLINT`, or the one of a plain build; the browser is `CHROMIUM`, or
// that of the machine.
import { spawnSync } from "node:child_process";
import fs from "node:fs";
import os from "node:os";
import path from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import vm from "node:vm";

/** The folder of the project. */
export const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), "../..");

/** The day that fixtures are judged on. */
export const TODAY = "2026-06-01";

/** A file of the project as text. */
export const read = (name) => fs.readFileSync(path.join(root, name), "utf8");

const folders = [];
process.on("exit", () => folders.forEach((folder) => fs.rmSync(folder, { recursive: true, force: true })));

/** A new folder, gone when the tests end. */
export function newFolder() {
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), "swathlint-page-"));
  folders.push(folder);
  return folder;
}

const program =
  process.env.SWATHLINT ?? path.join(process.env.CARGO_TARGET_DIR ?? path.join(root, "target"), "debug/swathlint");

/** Runs the program: exit code, output, and what it says of errors. */
export const run = (...words) => runIn(root, ...words);

/** The same in a folder. */
export const runIn = (folder, ...words) => typedIn(folder, [], ...words);

/** The same, with lines typed into it. */
export function typedIn(folder, lines, ...words) {
  const input = lines.map((line) => `${line}\n`).join("");
  const options = { cwd: folder, encoding: "utf8", maxBuffer: 1 << 28, input };
  const { status, stdout, stderr, error } = spawnSync(program, words, options);
  if (error) {
    throw error;
  }
  return { code: status, output: stdout, errors: stderr };
}

/** The report of the command line on a folder of records, as `plain` or `jsonl`. */
export function reportOf(folder, format = "plain", today = TODAY) {
  const { code, output, errors } = run("check", folder, "--today", today, "--format", format);
  if (code > 1) {
    throw new Error(`check of ${folder} ended with ${code}: ${errors}`);
  }
  return output;
}

const RECORD = new RegExp(
  "^((fleet|waivers)|(machines|house-rules|house-causes)/[^/]+|(calibrations|service|applications)/[^/]+/[^/]+)[.]ya?ml$",
);

/** The records in a folder, text by path; in order. */
export function recordsIn(folder) {
  const names = fs.readdirSync(folder, { recursive: true }).map((name) => name.split(path.sep).join("/"));
  const records = names.filter((name) => RECORD.test(name)).sort();
  return Object.fromEntries(records.map((name) => [name, fs.readFileSync(path.join(folder, name), "utf8")]));
}

/** Writes records into a new folder. */
export function written(records) {
  const folder = newFolder();
  for (const [name, text] of Object.entries(records)) {
    const to = path.join(folder, name);
    fs.mkdirSync(path.dirname(to), { recursive: true });
    fs.writeFileSync(to, text);
  }
  return folder;
}

/** Each case of `fixtures/RULE/` that stands by itself: its name, its records laid over `fixtures/base`, its day. */
export function* cases() {
  const base = recordsIn(path.join(root, "fixtures/base"));
  for (const rule of fs.readdirSync(path.join(root, "rules")).map((name) => path.parse(name).name)) {
    const folder = path.join(root, "fixtures", rule);
    for (const name of fs.existsSync(folder) ? fs.readdirSync(folder).sort() : []) {
      const text = name.endsWith(".yaml") ? fs.readFileSync(path.join(folder, name), "utf8") : "";
      if (text !== "" && !text.includes("# before: ")) {
        yield { name: `${rule}/${name}`, ...laidOver(base, text) };
      }
    }
  }
}

function laidOver(base, text) {
  const records = { ...base };
  const today = /^# today: (\S+)$/m.exec(text)?.[1] ?? TODAY;
  const [head, ...parts] = text.split(/^# file: /m);
  for (const part of parts) {
    const end = part.indexOf("\n");
    records[part.slice(0, end).trim()] = part.slice(end + 1).replace(/^# without: .*\n/gm, "");
  }
  for (const [, without] of text.matchAll(/^# without: (\S+)$/gm)) {
    delete records[without];
  }
  return { records, today, head };
}

/** A file that page/build makes. */
export function built(name) {
  const file = path.join(root, "page/built", name);
  if (!fs.existsSync(file)) {
    throw new Error(`missing: page/built/${name}; run page/build`);
  }
  return fs.readFileSync(file);
}

/** The module and what unpacks it, as a page carries them. */
export const packedModule = () => ({
  unpacker: built("unpacker.wasm").toString("base64"),
  module: built("module.wasm.lzma").toString("base64"),
});

/** What the unpacker gives for bytes: a copy of what it unpacked, empty where it could not. */
export async function unpackedBy(unpacker, packed) {
  const { memory, room, unpack, unpacked } = (await WebAssembly.instantiate(unpacker, {})).instance.exports;
  const at = room(packed.length) >>> 0;
  new Uint8Array(memory.buffer, at, packed.length).set(packed);
  const length = unpack() >>> 0;
  return Buffer.from(new Uint8Array(memory.buffer, unpacked() >>> 0, length));
}

/** A judge in node, by the page's own loader. */
export function judge(options, packed = packedModule()) {
  const names = { atob, TextDecoder, TextEncoder, Uint8Array, WebAssembly };
  const context = vm.createContext(names);
  vm.runInContext(read("page/loader.js"), context, { filename: "loader.js" });
  return context.swathlintJudge.start(packed, options);
}

/** A page that only has a judge: `swathlintReady` is a promise of it. It allows itself what the page for a phone does. */
export function barePage() {
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>judge</title>
<meta http-equiv="Content-Security-Policy"
  content="default-src 'none'; script-src 'unsafe-inline' 'wasm-unsafe-eval'">
</head><body><script>${read("page/loader.js")}</script>
<script>var swathlintReady = swathlintJudge.start(${JSON.stringify(packedModule())});</script></body></html>`;
}

/** The browser of the machine. */
export async function startBrowser() {
  const { chromium } = await import("playwright-core");
  return chromium.launch(browserOptions());
}

/** Which browser is started, and how. */
export function browserOptions() {
  const there = [process.env.CHROMIUM, "/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];
  const executablePath = there.find((file) => file && fs.existsSync(file));
  if (!executablePath) {
    throw new Error("missing: a browser; install Chromium, or name one in CHROMIUM");
  }
  const isRoot = process.getuid?.() === 0;
  return {
    executablePath,
    args: [
      ...(isRoot ? ["--no-sandbox"] : []),
      ...["--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"],
      ...["--disable-component-update", "--disable-sync", "--disable-dev-shm-usage"],
    ],
  };
}

/**
 * Opens an HTML text from a file, with the network shut: any request but for that file is stopped, and remembered.
 * `faults` has those, what the page throws, and what it tells the console as an error.
 * `slowed`: the processor is so many times slower. `prepared`: a script that runs before those of the page.
 */
export async function openOffline(browser, html, { slowed = 1, prepared, ...options } = {}) {
  const file = path.join(newFolder(), "page.html");
  fs.writeFileSync(file, html);
  const context = await browser.newContext(options);
  return { context, ...(await openFileOffline(context, file, { slowed, prepared })) };
}

/** The same for a file that is there, in a context of a browser. */
export async function openFileOffline(context, name, { slowed = 1, prepared } = {}) {
  const file = pathToFileURL(name).href;
  await context.setOffline(true);
  const faults = [];
  await context.route("**/*", (route) => {
    const url = route.request().url();
    if (url.split("#")[0] === file) {
      return route.continue();
    }
    faults.push(`asks for ${url.slice(0, 200)}`);
    return route.abort();
  });
  const page = await context.newPage();
  page.setDefaultTimeout(15_000);
  if (prepared !== undefined) {
    await page.addInitScript(prepared);
  }
  page.on("pageerror", (error) => faults.push(`throws ${error}`));
  page.on("console", (told) => told.type() === "error" && faults.push(`tells ${told.text()}`));
  if (slowed > 1) {
    const session = await context.newCDPSession(page);
    await session.send("Emulation.setCPUThrottlingRate", { rate: slowed });
  }
  await page.goto(file);
  return { page, faults, file };
}

/** Numbers from 0 to 1 by a seed: the same seed gives the same ones. */
export function chance(seed) {
  let state = seed >>> 0;
  const next = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 0x100000000;
  };
  const below = (most) => Math.floor(next() * most);
  return { next, below, one: (all) => all[below(all.length)] };
}
