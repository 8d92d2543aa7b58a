/** Starts the built program on a data folder of its own, as a person would, and stops it again. */
import { spawn } from "node:child_process";
import { once } from "node:events";
import { access, mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";

/** Root of the repository. */
export const ROOT = join(dirname(fileURLToPath(import.meta.url)), "../..");

const START_LIMIT_MS = 30_000;
const STOP_LIMIT_MS = 10_000;
const LISTENING = /^listening on (http:\/\/127\.0\.0\.1:\d+)$/;

/** Folder that cargo builds into; `CARGO_TARGET_DIR` moves it. */
export const TARGET_DIR = resolve(ROOT, process.env["CARGO_TARGET_DIR"] ?? "target");

/** Path of the program under test; `SOUNDMETAL_BIN` overrides it. */
export const PROGRAM = process.env["SOUNDMETAL_BIN"] ?? join(TARGET_DIR, "release/soundmetal");

/**
 * @typedef {object} Server
 * @property {string} base address without a slash at its end
 * @property {string} dataDir
 * @property {number} pid of the program, for tests that kill it or read its memory
 * @property {() => Promise<void>} stop asks it to stop; fails when it does not, or when it ended with an error
 */

/** @param {import("node:child_process").ChildProcess} child */
const hasEnded = (child) => child.exitCode !== null || child.signalCode !== null;

/**
 * Makes an empty data folder that is removed when the test or suite `t` has ended.
 * @param {{ after: (fn: () => Promise<void>) => void }} t
 */
export async function temporaryDataDir(t) {
  const dataDir = await mkdtemp(join(tmpdir(), "soundmetal-data-"));
  t.after(() => rm(dataDir, { recursive: true, force: true }));
  return dataDir;
}

/**
 * Runs `soundmetal open --data DIR --port 0 --no-browser` and waits for its line `listening on http://127.0.0.1:PORT`.
 * Port 0 lets the system choose a free one, so tests can run side by side.
 * @param {string} dataDir
 * @param {string[]} [more] further arguments
 * @returns {Promise<Server>}
 */
export async function startServer(dataDir, more = []) {
  await access(PROGRAM).catch(() => {
    throw new Error(`${PROGRAM} is not built: run cargo build --release`);
  });
  const child = spawn(PROGRAM, ["open", "--data", dataDir, "--port", "0", "--no-browser", ...more], {
    stdio: ["ignore", "pipe", "pipe"],
  });
  /** @type {string[]} */
  const said = [];
  child.stderr.setEncoding("utf8").on("data", (text) => said.push(text));
  const base = await listeningAddress(child, said);
  return { base, dataDir, pid: child.pid ?? 0, stop: () => stop(child, said) };
}

/**
 * @param {import("node:child_process").ChildProcessByStdio<null, import("node:stream").Readable, import("node:stream").Readable>} child
 * @param {string[]} said what the program wrote to its error stream
 * @returns {Promise<string>}
 */
function listeningAddress(child, said) {
  return new Promise((resolve, reject) => {
    /** @param {string} what */
    const fail = (what) => {
      child.kill("SIGKILL");
      reject(new Error(`soundmetal ${what}\n${said.join("")}`));
    };
    const timer = setTimeout(() => fail(`did not say where it listens within ${START_LIMIT_MS} ms`), START_LIMIT_MS);
    child.once("error", (error) => fail(`could not be started: ${error.message}`));
    child.once("exit", (code, signal) => {
      clearTimeout(timer);
      fail(`ended at once with ${signal ?? `exit code ${code}`}, before it said where it listens`);
    });
    // the stream is read to its end, or the program would block on a full pipe
    createInterface({ input: child.stdout }).on("line", (line) => {
      said.push(`${line}\n`);
      const address = LISTENING.exec(line)?.[1];
      if (address === undefined) return;
      clearTimeout(timer);
      child.removeAllListeners("exit");
      resolve(address);
    });
  });
}

/**
 * @param {import("node:child_process").ChildProcess} child
 * @param {string[]} said
 */
async function stop(child, said) {
  if (!hasEnded(child)) {
    const ended = once(child, "exit");
    child.kill("SIGTERM");
    const timer = setTimeout(() => child.kill("SIGKILL"), STOP_LIMIT_MS);
    await ended;
    clearTimeout(timer);
    if (child.signalCode === "SIGKILL") throw new Error(`soundmetal did not stop within ${STOP_LIMIT_MS} ms of SIGTERM`);
  }
  if (/panicked at/.test(said.join(""))) throw new Error(`soundmetal panicked\n${said.join("")}`);
}
