import type { Section } from "../../board/board.js";
import type { CaseEntry } from "../case/case.js";
import type { PreparedBoard } from "../prepare.js";

/** A run of places to probe, in order from source to output: lines that carry bits of one thing share a stage. */
export type Stage = readonly string[];

/** What a sensible person makes of a report: where to look first, and along which path. */
export interface Complaint {
  /** Sections in the order in which they are worth working on. */
  readonly sections: readonly Section[];
  /** Lines looked at before anything else: clock, reset and holds at the processor. */
  readonly vital: readonly string[];
  /** Lines along the signal's path, source first. */
  readonly path: readonly Stage[];
  /** True if bad memory could do it. */
  readonly memory: boolean;
}

/**
 * Reads a report the way somebody with the schematic does: a torn or dark picture points at clock and sync, a wrong
 * one on a machine that beeps at picture data and memory, one on a silent machine at the processor and what it needs;
 * if only the sound, the keys or the tape fail, it is their own section. Common practice, no source.
 */
export function readComplaint(prepared: PreparedBoard, entries: readonly CaseEntry[]): Complaint {
  const shown = new Map<string, string>();
  for (const entry of entries) {
    if (entry.kind !== "symptom") continue;
    const symptom = prepared.data.model.symptoms.find((s) => s.id === entry.what);
    if (symptom !== undefined) shown.set(symptom.observable, symptom.outcome);
  }
  const { chain } = prepared.board;
  const picture = shown.get("picture") ?? "normal";
  const alive =
    shown.get("reaction") === "reacts" || (chain.sound?.startBeep === true && shown.get("sound") === "beep");
  if (picture !== "normal")
    return alive ? pictureComplaint(prepared, picture) : coreComplaint(prepared, picture);
  if (shown.get("lamp") === "off")
    return { sections: ["supply", "other"], path: stagesOf(chain.lamp ?? []), vital: [], memory: false };
  const usualSound = chain.sound?.startBeep === true ? "beep" : "silent";
  if (shown.has("sound") && shown.get("sound") !== usualSound)
    return { sections: ["sound", "io"], path: stagesOf(chain.sound?.nets ?? []), vital: [], memory: false };
  if (shown.has("keys") && shown.get("keys") !== "work") {
    const lines = [...(chain.keys?.drive ?? []), ...(chain.keys?.sense ?? [])];
    return { sections: ["keyboard", "io", "decoding"], path: stagesOf(lines), vital: [], memory: false };
  }
  if (shown.has("tape") && shown.get("tape") !== "loads") {
    const { input = [], output = [], motor = [] } = chain.tape ?? {};
    const lines = shown.get("tape") === "no-motor" ? motor : [...input, ...output];
    return { sections: ["tape", "io"], path: stagesOf(lines), vital: [], memory: false };
  }
  if (shown.has("memory-figure") && shown.get("memory-figure") !== "right")
    return { sections: ["memory", "decoding"], path: [], vital: [], memory: true };
  return coreComplaint(prepared, picture);
}

function pictureComplaint(prepared: PreparedBoard, picture: string): Complaint {
  const chain = prepared.board.chain.picture;
  const { sync = [], border = [], content = [], output = [] } = chain ?? {};
  switch (picture) {
    case "dark":
      return {
        sections: ["video"],
        path: stagesOf([...sync, ...border, ...output]),
        vital: [],
        memory: false,
      };
    case "torn":
      return { sections: ["video", "clock"], path: stagesOf(sync), vital: [], memory: false };
    case "border-wrong":
      return { sections: ["video"], path: stagesOf(border), vital: [], memory: false };
    case "blank":
      return {
        sections: ["video", "memory"],
        path: stagesOf([...border, ...content]),
        vital: [],
        memory: false,
      };
    default:
      return { sections: ["video", "memory"], path: stagesOf(content), vital: [], memory: true };
  }
}

/** The processor does not run: what it needs, in the order clock, reset, its own lines, selects, memory. */
function coreComplaint(prepared: PreparedBoard, picture: string): Complaint {
  const sync = prepared.board.chain.picture?.sync ?? [];
  const noPicture = picture === "dark" || picture === "torn";
  const core: Section[] = ["reset", "processor", "decoding", "memory"];
  const sections: Section[] = noPicture
    ? ["clock", "video", ...core, "io"]
    : [...core, "io", "clock", "video"];
  const driven = (section: Section): string[] => drivenLines(prepared, section);
  const path = [
    ...stagesOf(driven("clock")),
    ...(noPicture ? stagesOf(sync) : []),
    ...core.flatMap((section) => stagesOf(driven(section))),
  ];
  return { sections, vital: vitalLines(prepared), path, memory: true };
}

/** What a processor needs before anything else can be expected of it. */
function vitalLines(prepared: PreparedBoard): string[] {
  const { parts, pins, nets, netDuty } = prepared.circuit.wiring;
  return parts.flatMap((part) => {
    const { behaviour } = part.type;
    if (behaviour.kind !== "processor") return [];
    const wanted = [...behaviour.clock, behaviour.reset.pin, ...behaviour.holds.map((hold) => hold.pin)];
    return wanted.flatMap((name) => {
      const net = part.pins.map((pin) => pins[pin]).find((pin) => pin?.name === name)?.net ?? -1;
      return net >= 0 && netDuty[net] === 0 ? [nets[net] ?? ""] : [];
    });
  });
}

/** Signal lines that the chips of a section drive, in the order of the board's parts. */
function drivenLines(prepared: PreparedBoard, section: Section): string[] {
  const { engine, wiring } = prepared.circuit;
  const lines = new Set<string>();
  for (const part of wiring.parts) {
    if (part.part.section !== section || part.pins.length < 6) continue;
    for (const driver of engine.drivers)
      if (driver.part === part.index && wiring.netDuty[driver.net] === 0)
        lines.add(wiring.nets[driver.net] ?? "");
  }
  return [...lines];
}

/** Neighbouring lines whose names differ only in their number share a stage. */
export function stagesOf(lines: readonly string[]): Stage[] {
  const stages: string[][] = [];
  let stem = "";
  for (const line of lines) {
    const own = line.replace(/\d+/g, "#");
    const last = stages[stages.length - 1];
    if (own === stem && own !== line && last !== undefined) last.push(line);
    else stages.push([line]);
    stem = own;
  }
  return stages;
}
