import { freeInstruments, instruments } from "../../core/find/case/case.js";
import { eventKinds } from "../../core/find/priors/events.js";
import type { Store } from "../../store/store.js";
import type { BoardDetail, BoardSummary } from "../api/boards.js";
import { instrumentNames } from "../describe-entry.js";
import { showBoard } from "../show-board.js";
import type { BenchBoard, BenchBoards } from "./bench-boards.js";

const chipLegs = 6;

/** The boards to choose from: those that came with the program, then those of one's own, by their ids. */
export function boardSummaries(boards: BenchBoards): BoardSummary[] {
  return boards.ids().map((id) => {
    const bench = boards.get(id);
    const { board } = bench;
    return {
      id: board.id,
      title: board.title,
      subtitle: board.summary,
      ...(board.year === undefined ? {} : { year: board.year }),
      chips: bench.map.parts.filter(({ shape, pins }) => shape === "chip" && pins.length >= chipLegs).length,
      parts: board.parts.length,
      nets: showBoard(bench).nets.length,
      own: boards.isOwn(id),
      versions: bench.version ?? 0,
    };
  });
}

/** Everything that drawing a board and describing its machine needs. */
export function boardDetail(store: Store, bench: BenchBoard): BoardDetail {
  const { board, map, symptoms, version, grown } = bench;
  const rails = new Set(board.rails.map(({ net }) => net));
  const titles = new Map(store.data.failureData().events.events.map(({ event, title }) => [event, title]));
  return {
    id: board.id,
    title: board.title,
    subtitle: board.summary,
    ...(board.year === undefined ? {} : { year: board.year }),
    own: version !== undefined,
    version: version ?? null,
    growth:
      grown === undefined
        ? null
        : {
            changes: grown.changes.map((one) => ({ ...one, entries: [...one.entries] })),
            contradictions: grown.contradictions.map((one) => ({ ...one, against: [...one.against] })),
          },
    widthMillimetre: map.widthMillimetre,
    heightMillimetre: map.heightMillimetre,
    extent: { ...map.extent },
    ground: board.ground,
    rails: board.rails.map(({ net, nominalVolt, tolerancePercent, raw }) => ({
      net,
      nominalVolt,
      tolerancePercent,
      raw: raw === true,
    })),
    parts: map.parts.map((part) => ({
      ...part,
      body: { ...part.body },
      pins: part.pins.map((pin) => ({ ...pin })),
    })),
    nets: showBoard(bench).nets.map(({ name, pins }) => ({
      name,
      duty: name === board.ground ? "ground" : rails.has(name) ? "rail" : "signal",
      pins: [...pins],
    })),
    symptoms: symptoms.map(({ id, observable, title, wording }) => ({
      id,
      group: observable,
      groupTitle: title,
      wording,
    })),
    keyLines: [...(board.chain.keys?.drive ?? []), ...(board.chain.keys?.sense ?? [])],
    instruments: instruments.map((id) => ({
      id,
      name: instrumentNames[id],
      free: freeInstruments.includes(id),
    })),
    events: eventKinds.map((id) => ({ id, wording: titles.get(id) ?? id })),
  };
}
