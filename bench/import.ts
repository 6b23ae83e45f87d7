/*
 * Why: whoever imports a machine waits for its layout to be read. Says how long a layout of 4 MB with 250 parts and 1,600
 * pins takes in fresh processes, and how much memory, against the target of 1.5 s and 300 MB; and how reading grows with
 * the size. Writes bench/results/import.json and docs/benches/import.md.
 */
import { spawnSync } from "node:child_process";
import { mkdirSync, writeFileSync } from "node:fs";
import { cpus } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { repositoryRoot } from "../scripts/generated-files.js";
import { parseKicadPcb } from "../src/core/board/read/kicad-pcb.js";
import { makeLayout } from "./support/layout-text.js";

interface Run {
  readonly seconds: number;
  readonly processorSeconds: number;
  readonly peakMegabyte: number;
  readonly components: number;
  readonly pins: number;
}

const { values } = parseArgs({
  options: { child: { type: "string" }, processes: { type: "string", default: "5" } },
});

/** Reads one layout in this process, and says what it took. The text is made before the clock starts. */
function readOnce(megabytes: number): Run {
  const { text } = makeLayout(250, 1600, megabytes * 1e6);
  const processor = process.cpuUsage();
  const started = performance.now();
  const { value, problems } = parseKicadPcb(text, { file: "bench.kicad_pcb" });
  const seconds = (performance.now() - started) / 1000;
  const { user, system } = process.cpuUsage(processor);
  if (value === undefined || problems.length > 0) throw new Error(JSON.stringify(problems.slice(0, 3)));
  return {
    seconds,
    processorSeconds: (user + system) / 1e6,
    peakMegabyte: (process.resourceUsage().maxRSS * 1024) / 1e6,
    components: value.components.length,
    pins: value.nets.reduce((sum, net) => sum + net.nodes.length, 0),
  };
}

function runChild(megabytes: number): Run {
  const self = fileURLToPath(import.meta.url);
  const child = spawnSync(process.execPath, ["--import", "tsx", self, "--child", String(megabytes)], {
    cwd: repositoryRoot,
    encoding: "utf8",
    stdio: ["ignore", "pipe", "inherit"],
  });
  if (child.status !== 0) throw new Error(`a child ended with code ${child.status ?? child.signal}`);
  const run: Run = JSON.parse(child.stdout);
  return run;
}

function main(): void {
  const processes = Math.max(1, Number(values.processes));
  const sizes = [1, 2, 4, 8].map((megabytes) => {
    console.error(`${megabytes} MB`);
    const runs = Array.from({ length: processes }, () => runChild(megabytes));
    const least = (pick: (run: Run) => number): number => Number(Math.min(...runs.map(pick)).toFixed(3));
    const most = (pick: (run: Run) => number): number => Number(Math.max(...runs.map(pick)).toFixed(3));
    return {
      megabytes,
      components: runs[0]?.components,
      pins: runs[0]?.pins,
      leastSeconds: least((run) => run.seconds),
      mostSeconds: most((run) => run.seconds),
      leastProcessorSeconds: least((run) => run.processorSeconds),
      peakMegabyte: Math.round(most((run) => run.peakMegabyte)),
    };
  });
  const result = {
    node: process.versions.node,
    processor: cpus()[0]?.model ?? "unknown",
    cores: cpus().length,
    processes,
    sizes,
  };
  mkdirSync(join(repositoryRoot, "bench/results"), { recursive: true });
  writeFileSync(join(repositoryRoot, "bench/results/import.json"), `${JSON.stringify(result, null, 2)}\n`);
  const rows = sizes.map(
    (size) =>
      `| ${size.megabytes} | ${size.components} | ${size.pins} | ${size.leastSeconds} | ${size.mostSeconds} | ${size.leastProcessorSeconds} | ${size.peakMegabyte} |`,
  );
  writeFileSync(
    join(repositoryRoot, "docs/benches/import.md"),
    `# Reading a layout

Written by \`npx tsx bench/import.ts\`; do not edit. Node ${result.node}, ${processes} fresh processes a size; the machine is
named in \`bench/results/import.json\`. Other work on the machine makes elapsed times longer than need be.

Target: a KiCad layout of 4 MB with 250 parts and 1,600 pins in under 1.5 s and under 300 MB. The layouts are made up
(\`bench/support/layout-text.ts\`, seeded), with tracks and drawings in about the share that real ones have. Peak memory is
that of the whole process, the text and the compiler of the bench included.

| MB | parts | pins | least s | most s | processor, least s | peak MB |
| ---: | ---: | ---: | ---: | ---: | ---: | ---: |
${rows.join("\n")}
`,
  );
  console.log(JSON.stringify(result));
}

if (values.child === undefined) main();
else console.log(JSON.stringify(readOnce(Number(values.child))));
