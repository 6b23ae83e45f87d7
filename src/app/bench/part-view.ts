import { type Case, standingEntries } from "../../core/find/case/case.js";
import { isMisplaced, placeNamed } from "../../core/find/evidence/place-name.js";
import type { Fault } from "../../core/find/faults/fault.js";
import type { PreparedBoard } from "../../core/find/prepare.js";
import type { PartBelief } from "../../core/find/reason/beliefs.js";
import type { Circuit } from "../../core/find/settle/build.js";
import { isWrong, levelMask, levelName } from "../../core/find/settle/value.js";
import type { SolvedCase } from "../../core/find/solve.js";
import type { PartPage } from "../api/part-page.js";
import { describeFault } from "./fault-words.js";

/** What a part page is made for. */
export interface PartOrder {
  readonly job: string;
  readonly revision: number;
  readonly case: Case;
  readonly ref: string;
}

const leadingSuspects = 3;

/**
 * A part's legs with what each should show and would show for the leading faults: the likeliest fault of each of the
 * three leading parts, and of the part itself. Throws `RangeError` for a part that the board does not have.
 */
export function partView(prepared: PreparedBoard, solved: SolvedCase, order: PartOrder): PartPage {
  const { wiring } = prepared.circuit;
  const part = wiring.parts[wiring.partIndex.get(order.ref) ?? -1];
  if (part === undefined) throw new RangeError(`there is no part ${order.ref}`);
  const own = solved.byPart.find((belief) => belief.part === part.index);
  const leading = solved.byPart.slice(0, leadingSuspects);
  const beliefs = own === undefined || leading.includes(own) ? leading : [...leading, own];
  const faults = beliefs.flatMap((belief) => leadingFault(belief));
  const readings = readingsByNet(prepared.circuit, order.case);
  return {
    job: order.job,
    revision: order.revision,
    ref: part.part.ref,
    type: part.type.type,
    title: part.type.title,
    ...(part.part.value === undefined ? {} : { value: part.part.value }),
    section: part.part.section,
    socketed: part.part.socketed === true,
    package: part.type.package,
    probability: Math.min(1, own?.probability ?? 0),
    suspects: faults.map(({ fault, probability }) => ({
      part: wiring.parts[fault.part]?.part.ref ?? "?",
      mode: fault.mode,
      says: describeFault(fault),
      probability,
    })),
    pins: part.pins.flatMap((index) => {
      const pin = wiring.pins[index];
      if (pin === undefined) return [];
      const hertz = pin.net < 0 ? 0 : (prepared.rates[pin.net] ?? 0);
      return [
        {
          pin: pin.number,
          name: pin.name === pin.number ? "" : pin.name,
          kind: pin.kind,
          net: wiring.nets[pin.net] ?? null,
          healthy: { shows: shownIn(prepared, pin.net, 0), hertz: hertz > 0 ? hertz : null },
          ifSuspect: faults.map(({ fault }) => shownWith(prepared, fault, index, pin.net)),
          readings: readings.get(pin.net) ?? [],
        },
      ];
    }),
  };
}

function leadingFault({ faults }: PartBelief): { readonly fault: Fault; readonly probability: number }[] {
  const [first] = faults;
  return first === undefined ? [] : [{ fault: first.fault, probability: Math.min(1, first.probability) }];
}

/** Numbers of standing entries that read each net, in order. */
function readingsByNet(circuit: Circuit, { entries }: Case): Map<number, number[]> {
  const byNet = new Map<number, number[]>();
  for (const { number, entry } of standingEntries(entries)) {
    if (entry.kind !== "reading") continue;
    const place = placeNamed(circuit, entry.at);
    if (isMisplaced(place) || (place.kind !== "net" && place.kind !== "pin") || place.net < 0) continue;
    const numbers = byNet.get(place.net) ?? [];
    numbers.push(number);
    byNet.set(place.net, numbers);
  }
  return byNet;
}

function shownIn(prepared: PreparedBoard, net: number, row: number): string {
  if (net < 0) return "not connected";
  return levelName(prepared.table.nets[row * prepared.table.netCount + net] ?? 0);
}

function shownWith(
  prepared: PreparedBoard,
  fault: Fault,
  pin: number,
  net: number,
): PartPage["pins"][number]["ifSuspect"][number] {
  if (fault.signs.cutPin === pin) return { shows: "cut off from its line", wrong: true, differs: true };
  if (net < 0) return { shows: "not connected", wrong: false, differs: false };
  const { table } = prepared;
  const from = table.firstRow[fault.effect] ?? 0;
  const to = table.firstRow[fault.effect + 1] ?? from;
  // A crashed program may do several things; the likelier come first.
  const rows = Array.from({ length: to - from }, (_, i) => from + i).sort(
    (a, b) => (table.weight[b] ?? 0) - (table.weight[a] ?? 0),
  );
  const values = rows.map((row) => table.nets[row * table.netCount + net] ?? 0);
  const healthy = (table.nets[net] ?? 0) & levelMask;
  return {
    shows: [...new Set(values.map(levelName))].join(" or "),
    wrong: values.some(isWrong),
    differs: values.some((value) => (value & levelMask) !== healthy),
  };
}
