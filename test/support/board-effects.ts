import { failureModeIds } from "../../src/core/board/failure-mode.js";
import {
  enumerateFaults,
  type FaultList,
  type ModeOdds,
  type OddsSource,
} from "../../src/core/find/faults/enumerate.js";
import { type FindModel, findModelSchema } from "../../src/core/find/model/model.js";
import { buildCircuit, type Circuit } from "../../src/core/find/settle/build.js";
import { buildEffectTable, type EffectTable } from "../../src/core/find/table/effect-table.js";
import { loadBoard, loadPartTypes } from "../boards/support.js";
import { readRepositoryFile } from "./source-files.js";

const permanent = { permanent: 1, "warm-only": 0, intermittent: 0 };
const sure = (mode: ModeOdds["mode"]): readonly ModeOdds[] => [{ mode, odds: permanent }];

/** Odds that leave nothing out: every failure mode of every part, every socket contact, joint and bridge alike. */
export const everyMode: OddsSource = {
  ofPart: () => failureModeIds.map((mode) => ({ mode, odds: permanent })),
  ofSocketPin: (part) => (part.part.socketed === true ? sure("contact-open") : []),
  ofJoint: () => sure("track-open"),
  ofBridge: () => sure("bridge"),
};

/** The find model as it is delivered; throws if it does not fit its schema. */
export function loadFindModel(): FindModel {
  return findModelSchema.parse(JSON.parse(readRepositoryFile("data/find/model.json")));
}

/** The circuit of a board of data/boards. */
export function loadCircuit(id: string): Circuit {
  return buildCircuit(loadBoard(id), loadPartTypes());
}

/** A board of data/boards with the effects of {@link everyMode}. */
export interface BoardEffects {
  readonly circuit: Circuit;
  readonly list: FaultList;
  readonly table: EffectTable;
}

/** Settles every effect of {@link everyMode} on a board of data/boards. */
export function settleBoard(id: string): BoardEffects {
  const circuit = loadCircuit(id);
  const list = enumerateFaults(circuit, everyMode);
  return { circuit, list, table: buildEffectTable(circuit, list.effects, loadFindModel()) };
}
