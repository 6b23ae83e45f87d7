import { readFileSync } from "node:fs";
import { join } from "node:path";
import { createRandom } from "../src/core/base/random.js";
import { wavFile } from "../src/core/signal/wav-write.js";
import { encodeTape } from "../src/core/tape/encode.js";
import { tapeSchemeSchema } from "../src/core/tape/scheme.js";
import { repositoryRoot } from "./generated-files.js";

const sampleRateHz = 44100;
const program = [
  "10 REM PELLOW 16 STORE LIST",
  "20 DIM A$(40)",
  "30 FOR I=1 TO 40",
  "40 READ A$(I)",
  "50 PRINT I;A$(I)",
  "60 NEXT I",
  "70 DATA BELT,CAPACITOR,SOCKET,LAMP",
  "80 END",
].join("\r");
const parts = 4;
const partBytes = 420;

/**
 * A recording of a worn tape for pictures, as a WAV file: four parts of an invented program at 1200 baud, running 2.5 to
 * 3.7 % fast, treble lost, level swaying, hum, noise, and a hole of two thousandths of a second now and then.
 */
export function wornTape(): Uint8Array {
  const path = join(repositoryRoot, "data/tape-schemes/kansas-city-1200.json");
  const scheme = tapeSchemeSchema.parse(JSON.parse(readFileSync(path, "utf8")));
  const pieces = Array.from({ length: parts }, (_, part) => {
    const bytes = Uint8Array.from({ length: partBytes }, (_, i) =>
      program.charCodeAt((i + 40 * part) % program.length),
    );
    return encodeTape(scheme, bytes, {
      sampleRateHz,
      leaderSeconds: part === 0 ? 3 : 2,
      speedRatio: 1.025 + 0.004 * part,
    });
  });
  const out = new Float32Array(pieces.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const piece of pieces) {
    out.set(piece, at);
    at += piece.length;
  }
  return wavFile([wear(out)], sampleRateHz);
}

function wear(samples: Float32Array): Float32Array {
  const random = createRandom(4);
  let treble = 0;
  return samples.map((sample, i) => {
    const seconds = i / sampleRateHz;
    treble += 0.45 * (sample - treble);
    const isHole = (seconds * 0.37) % 1 < 0.0018 && seconds > 4;
    const level = isHole ? 0.03 : 0.9 + 0.15 * Math.sin(1.3 * seconds);
    const noise = 0.05 * (random.next() + random.next() - 1);
    return 1.4 * level * treble + noise + 0.03 * Math.sin(2 * Math.PI * 50 * seconds);
  });
}
