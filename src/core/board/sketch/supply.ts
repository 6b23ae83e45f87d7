import type { Blocks } from "./blocks.js";
import type { SketchBuilder } from "./builder.js";
import { ground, railNet } from "./sketch-part.js";

/** Raw feed of a regulated rail and the regulator that makes it (voltages are common practice, no source). */
const regulators: Readonly<Record<number, { readonly rawVolt: number; readonly type: string }>> = {
  5: { rawVolt: 9, type: "7805" },
  12: { rawVolt: 17, type: "7812" },
  [-5]: { rawVolt: -9, type: "7905" },
  [-12]: { rawVolt: -17, type: "7912" },
};

const rawNet = (volt: number): string => `RAW ${volt > 0 ? "+" : ""}${volt}V`;

/** Wires the supply: unit, plug, fuse, switch, regulators or converter stage, bulk capacitors, lamp. */
export function wireSupply(builder: SketchBuilder, blocks: Blocks): void {
  const feeds = new Map<string, number>();
  for (const rail of blocks.rails) {
    const net = railNet(rail.volt);
    addRail(builder, net, rail.volt, false);
    if (rail.from === "outside") feeds.set(net, rail.volt);
    if (rail.from === "regulator") {
      const regulator = regulators[rail.volt];
      if (regulator === undefined) throw new RangeError(`no regulator makes ${rail.volt} V`);
      const raw = rawNet(regulator.rawVolt);
      feeds.set(raw, regulator.rawVolt);
      builder.add({
        type: regulator.type,
        section: "supply",
        letter: "VR",
        ref: rail.ref,
        pins: { IN: raw, OUT: net },
      });
    }
  }
  wireConverter(builder, blocks, feeds);
  feedFromOutside(builder, blocks, feeds);
  for (const rail of blocks.rails) addBulk(builder, railNet(rail.volt), rail.volt);
  for (const [net, volt] of feeds) if (net.startsWith("RAW")) addBulk(builder, net, volt);
  builder.between("resistor", "R", "330", [railNet(5), "LAMP"], "supply");
  builder.between("led", "D", "red", [ground, "LAMP"], "supply");
  builder.chain.lamp = [railNet(5), "LAMP"];
}

function addRail(builder: SketchBuilder, net: string, volt: number, raw: boolean): void {
  if (builder.rails.some((rail) => rail.net === net)) return;
  const tolerancePercent = raw ? 25 : volt === 5 ? 5 : 10;
  builder.rails.push({ net, nominalVolt: volt, tolerancePercent, ...(raw ? { raw } : {}) });
}

/** One converter stage makes up to two rails from the raw feed, or from +5 V where there is none. */
function wireConverter(builder: SketchBuilder, blocks: Blocks, feeds: Map<string, number>): void {
  const made = blocks.rails.filter((rail) => rail.from === "converter");
  const [first, second] = made;
  if (first === undefined) return;
  const input = [...feeds.keys()].find((net) => net === rawNet(9)) ?? railNet(5);
  builder.add({
    type: "converter-stage",
    section: "supply",
    letter: "PM",
    ref: first.ref,
    value: made.map(({ volt }) => `${volt} V`).join(", "),
    pins: {
      IN: input,
      OUT1: railNet(first.volt),
      OUT2: second === undefined ? undefined : railNet(second.volt),
    },
  });
}

function feedFromOutside(builder: SketchBuilder, blocks: Blocks, feeds: ReadonlyMap<string, number>): void {
  const plug: Record<string, string> = { "1": ground };
  let pin = 2;
  for (const [net, volt] of feeds) {
    const raw = net.startsWith("RAW");
    const isFirst = pin === 2;
    const stages = isFirst ? [...(blocks.fuse ? ["IN"] : []), ...(blocks.powerSwitch ? ["FUSED"] : [])] : [];
    const nets = [...stages.map((stage) => `${net} ${stage}`), net];
    for (const stage of nets) addRail(builder, stage, volt, raw);
    const [from = net] = nets;
    plug[String(pin)] = from;
    pin += 1;
    nets.slice(1).forEach((to, i) => {
      const before = nets[i] ?? from;
      if (before.endsWith("IN") && blocks.fuse) builder.between("fuse", "F", "2 A", [before, to], "supply");
      else builder.between("switch", "S", "power", [before, to], "supply");
    });
  }
  builder.add({ type: "outside-supply", letter: "PS", value: "supply unit", section: "supply", pins: plug });
  builder.add({ type: "connector", letter: "J", value: "power plug", section: "supply", pins: plug });
}

function addBulk(builder: SketchBuilder, net: string, volt: number): void {
  const [plus, minus] = volt > 0 ? [net, ground] : [ground, net];
  const raw = net.startsWith("RAW");
  builder.between("capacitor-aluminium", "C", raw ? "2200u 25 V" : "100u 25 V", [plus, minus], "supply");
  if (!raw) builder.between("capacitor-tantalum", "C", "10u 25 V", [plus, minus], "supply");
}
