import type { BoardPart } from "./board.js";
import type { PartType } from "./part-type.js";

/** Two nets that a passive part joins, and by what. */
export interface PassiveLink {
  readonly from: string;
  readonly to: string;
  /** `contact` is as good as a wire (jumper, fuse, coil); `switch` may be open or closed. */
  readonly through: "resistor" | "capacitor" | "contact" | "switch" | "diode";
}

/** The nets a passive part joins, by its behaviour and its pin numbers; none for other parts and open pins. */
export function passiveLinks(part: BoardPart, type: PartType): PassiveLink[] {
  if (type.behaviour.kind !== "plain") return [];
  const nets = Object.values(part.pins);
  const chain = (through: PassiveLink["through"]): PassiveLink[] =>
    nets.slice(1).map((to, i) => ({ from: nets[i] ?? to, to, through }));
  switch (type.behaviour.as) {
    case "resistor-network":
      return type.type.endsWith("-isolated") ? separateResistors(part) : resistorsFromPinOne(part);
    case "resistor":
    case "loudspeaker":
      return chain("resistor");
    case "capacitor":
      return chain("capacitor");
    case "diode":
    case "led":
      return chain("diode");
    case "switch":
      return chain("switch");
    case "coil":
    case "fuse":
    case "jumper":
      return chain("contact");
    default:
      return [];
  }
}

function resistorsFromPinOne(part: BoardPart): PassiveLink[] {
  const common = part.pins["1"];
  if (common === undefined) return [];
  return Object.entries(part.pins).flatMap(([number, to]): PassiveLink[] =>
    number === "1" ? [] : [{ from: common, to, through: "resistor" }],
  );
}

// Pins 1 and 2, 3 and 4, and so on.
function separateResistors(part: BoardPart): PassiveLink[] {
  return Object.entries(part.pins).flatMap(([number, from]): PassiveLink[] => {
    const partner = Number(number) % 2 === 1 ? part.pins[String(Number(number) + 1)] : undefined;
    return partner === undefined ? [] : [{ from, to: partner, through: "resistor" }];
  });
}
