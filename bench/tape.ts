/*
 * Why: a decoder of worn tapes is worth what it gets right where others fail, and only if it says where it is unsure.
 * This wears recordings of known bytes in ways that real ones are worn, decodes them, and counts wrong bytes and how
 * many of them were marked; beside it, where it is installed, a general modem (minimodem, Debian) reads the same files
 * with the same bytes in the same run, with its usual settings and with the slower search that it reads more with.
 */
import { execFileSync, spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createRandom } from "../src/core/base/random.js";
import { audioOf } from "../src/core/signal/samples.js";
import { wavFile } from "../src/core/signal/wav-write.js";
import { doubtfulAbove } from "../src/core/tape/blocks.js";
import { combineTapes } from "../src/core/tape/combine.js";
import { openDecoder } from "../src/core/tape/open-decoder.js";
import { readTape } from "../src/core/tape/read-tape.js";
import { SoftTape } from "../src/core/tape/soft-byte.js";
import { openStore } from "../src/store/store.js";
import { matchBytes, type Wear, wornTones } from "../test/support/worn-tones.js";

const sampleRateHz = 48000;
const seeds = [1, 2];
const counts: Readonly<Record<number, number>> = { 300: 2048, 1200: 4096 };
const wears: readonly (readonly [name: string, wear: Wear])[] = [
  ["clean", {}],
  ["square, upside down", { isSquare: true, isInverted: true }],
  ["noise 0 dB", { noiseDecibel: 0 }],
  ["noise -3 dB", { noiseDecibel: -3 }],
  ["noise -6 dB", { noiseDecibel: -6 }],
  ["noise -9 dB", { noiseDecibel: -9 }],
  ["speed -20 %", { speedRatio: 0.8 }],
  ["speed +20 %", { speedRatio: 1.2 }],
  ["speed +10 %, noise 10 dB", { speedRatio: 1.1, noiseDecibel: 10 }],
  ["drift 5 % a minute", { driftRatio: 0.05 }],
  ["flutter 3 % at 4 Hz", { flutter: [[0.03, 4]] }],
  ["low-pass 2 kHz, 4 poles", { lowPass: [2000, 4] }],
  ["dropout 3 ms -20 dB, 1/s", { dropouts: [3, 0.1, 1] }],
  ["dropout 3 ms full, 1/s", { dropouts: [3, 0, 1] }],
  ["dropout 10 ms full, 1/s", { dropouts: [10, 0, 1] }],
  ["hum +6 dB, clipped", { humDecibel: 6 }],
  [
    "worn",
    {
      noiseDecibel: 20,
      speedRatio: 1.02,
      flutter: [
        [0.003, 0.8],
        [0.003, 6],
      ],
      lowPass: [5000, 2],
      dropouts: [3, 0.1, 1],
    },
  ],
  [
    "bad",
    { noiseDecibel: 10, speedRatio: 0.96, flutter: [[0.01, 4]], lowPass: [3000, 2], dropouts: [3, 0, 1] },
  ],
];

const store = openStore();
const scheme = (baud: number) => {
  const found = store.data.tapeSchemes().find(({ id }) => id === `kansas-city-${baud}`);
  if (found === undefined) throw new Error(`there is no scheme kansas-city-${baud}`);
  return found;
};
const folder = mkdtempSync(join(tmpdir(), "boardwake-bench-"));
const peerVersion = findPeer();

function findPeer(): string | undefined {
  const run = spawnSync("minimodem", ["--version"], { encoding: "utf8" });
  return run.status === 0 ? run.stdout.split("\n")[0]?.trim() : undefined;
}

function randomBytes(count: number, seed: number): Uint8Array {
  const random = createRandom(seed);
  return Uint8Array.from({ length: count }, () => random.below(256));
}

function peerEdits(path: string, baud: number, bytes: Uint8Array, search: readonly string[]): number {
  const args = [
    "--rx",
    "-q",
    ...search,
    "-8",
    "-M",
    "2400",
    "-S",
    "1200",
    "--startbits",
    "1",
    "--stopbits",
    "2",
  ];
  const out = execFileSync("minimodem", [...args, "-f", path, String(baud)], {
    maxBuffer: 2 ** 26,
    stdio: ["ignore", "pipe", "ignore"],
  });
  return matchBytes(bytes, out).edits;
}

interface Row {
  readonly wear: string;
  readonly baud: number;
  readonly bytes: number;
  edits: number;
  wrong: number;
  wrongMarked: number;
  rightMarked: number;
  peerUsual?: number;
  peerSearching?: number;
}

async function measure(name: string, wear: Wear, baud: number): Promise<Row> {
  const count = counts[baud] ?? 0;
  const row: Row = {
    wear: name,
    baud,
    bytes: count * seeds.length,
    edits: 0,
    wrong: 0,
    wrongMarked: 0,
    rightMarked: 0,
  };
  for (const seed of seeds) {
    const bytes = randomBytes(count, seed);
    const samples = wornTones(bytes, { baud, sampleRateHz, seed: seed + 100 }, wear);
    const file = wavFile([samples], sampleRateHz);
    // Both read the same 16 bits.
    const same = Float32Array.from(new Int16Array(file.slice(44).buffer), (value) => value / 32768);
    const { tape } = await readTape(audioOf([same], sampleRateHz), scheme(baud));
    const { edits, places } = matchBytes(
      bytes,
      Array.from({ length: tape.length }, (_, i) => tape.value(i)),
    );
    row.edits += edits;
    const isRight = new Uint8Array(tape.length);
    for (const place of places) if (place >= 0) isRight[place] = 1;
    for (let i = 0; i < tape.length; i += 1) {
      const isMarked = tape.doubt(i) > doubtfulAbove;
      if (isRight[i] === 1) row.rightMarked += isMarked ? 1 : 0;
      else {
        row.wrong += 1;
        row.wrongMarked += isMarked ? 1 : 0;
      }
    }
    if (peerVersion === undefined) continue;
    const path = join(folder, "peer.wav");
    writeFileSync(path, file);
    row.peerUsual = (row.peerUsual ?? 0) + peerEdits(path, baud, bytes, []);
    row.peerSearching = (row.peerSearching ?? 0) + peerEdits(path, baud, bytes, ["-l", "1000"]);
  }
  return row;
}

/** Three takes of one tape at 1200 baud, each with dropouts of its own. */
async function measureTakes(): Promise<{ bytes: number; edits: number }> {
  const bytes = randomBytes(4096, 9);
  const takes: SoftTape[] = [];
  for (const seed of [31, 32, 33]) {
    const samples = wornTones(bytes, { baud: 1200, sampleRateHz, seed }, { dropouts: [3, 0, 1] });
    takes.push((await readTape(audioOf([samples], sampleRateHz), scheme(1200))).tape);
  }
  const tape = combineTapes(takes);
  const got = Array.from({ length: tape.length }, (_, i) => tape.value(i));
  return { bytes: bytes.length, edits: matchBytes(bytes, got).edits };
}

/** Processor seconds that decoding takes for ten minutes of sound, and the peer's for the same file. */
function measureSpeed(baud: number, noiseDecibel: number | undefined): object {
  const bytes = randomBytes(baud === 300 ? 16000 : 64000, 4);
  const samples = wornTones(
    bytes,
    { baud, sampleRateHz, seed: 5 },
    noiseDecibel === undefined ? {} : { noiseDecibel },
  );
  const secondsOfAudio = samples.length / sampleRateHz;
  let best = Number.POSITIVE_INFINITY;
  for (let run = 0; run < 3; run += 1) {
    const before = process.cpuUsage();
    const decoder = openDecoder(scheme(baud), sampleRateHz);
    const tape = new SoftTape();
    for (let at = 0; at < samples.length; at += 65536) {
      decoder.push(samples.subarray(at, at + 65536));
      for (const byte of decoder.take()) tape.push(byte);
    }
    decoder.finish();
    const { user, system } = process.cpuUsage(before);
    best = Math.min(best, (user + system) / 1e6);
  }
  const result = {
    baud,
    noiseDecibel: noiseDecibel ?? null,
    secondsOfAudio: round(secondsOfAudio),
    timesRealTime: Math.round(secondsOfAudio / best),
  };
  if (peerVersion === undefined) return result;
  const path = join(folder, "speed.wav");
  writeFileSync(path, wavFile([samples], sampleRateHz));
  const command = `for i in 1 2 3; do /usr/bin/env bash -c 'TIMEFORMAT="%U %S"; time minimodem --rx -q -8 -M 2400 -S 1200 --startbits 1 --stopbits 2 -f ${path} ${baud} > /dev/null 2>&1'; done`;
  const timed = spawnSync("bash", ["-c", command], { encoding: "utf8" }).stderr;
  const peer = Math.min(
    ...timed
      .trim()
      .split("\n")
      .map((line) => line.split(" ").reduce((sum, part) => sum + Number(part), 0)),
  );
  return { ...result, peerTimesRealTime: Math.round(secondsOfAudio / peer) };
}

function round(value: number): number {
  return Number(value.toPrecision(4));
}

const only = process.argv[2];
const rows: Row[] = [];
for (const [name, wear] of wears) {
  if (only !== undefined && only !== name) continue;
  for (const baud of [300, 1200]) {
    const row = await measure(name, wear, baud);
    console.error(JSON.stringify(row));
    rows.push(row);
  }
}
const takes = await measureTakes();
const speed = [
  measureSpeed(300, undefined),
  measureSpeed(300, 10),
  measureSpeed(1200, undefined),
  measureSpeed(1200, 10),
];
console.error(JSON.stringify({ takes, speed }));
rmSync(folder, { recursive: true, force: true });
console.log(
  JSON.stringify({ peer: peerVersion ?? "not installed", sampleRateHz, seeds, rows, takes, speed }),
);
