import { type PartType, type PartTypePin, partTypeSchema, pinKinds } from "../../core/board/part-type.js";

/** A part type as it is typed. */
export interface TypedType {
  readonly type: string;
  readonly title: string;
  readonly package: string;
  readonly technology: string;
  readonly family: string;
  /** A line for each pin: number, name, kind. */
  readonly pins: string;
  /** A line for each supply pin: name, nominal, least and most volts. */
  readonly rails: string;
  /** The behaviour as JSON; empty for the cautious rule. */
  readonly behaviour: string;
}

/** What a form begins with. */
export function typedOf(type: PartType | undefined): TypedType {
  if (type === undefined)
    return {
      type: "",
      title: "",
      package: "DIP16",
      technology: "ls-ttl",
      family: "logic-bipolar",
      pins: "",
      rails: "VCC 5 4.75 5.25",
      behaviour: "",
    };
  const { pins, rails, behaviour } = type;
  return {
    type: type.type,
    title: type.title,
    package: type.package,
    technology: type.technology,
    family: type.family,
    pins:
      pins === "as-board"
        ? "as-board"
        : pins.map((pin) => `${pin.number} ${pin.name} ${pin.kind}`).join("\n"),
    rails: rails
      .map((rail) => `${rail.pin} ${rail.nominalVolt} ${rail.minimumVolt} ${rail.maximumVolt}`)
      .join("\n"),
    behaviour: behaviour.kind === "cautious" ? "" : JSON.stringify(behaviour, null, 1),
  };
}

/** The type that was typed, or one sentence about what is wrong with it. `base` gives what the form does not show. */
export function readTyped(
  typed: TypedType,
  base: PartType | undefined,
): { readonly type: PartType } | { readonly where: string; readonly message: string } {
  const pins: PartTypePin[] = [];
  const asBoard = typed.pins.trim() === "as-board";
  for (const [i, line] of asBoard ? [] : linesOf(typed.pins)) {
    const [number, name, kind, ...rest] = line.split(/\s+/);
    const known = pinKinds.find((one) => one === kind);
    if (number === undefined || name === undefined || known === undefined || rest.length > 0)
      return {
        where: `Pins, line ${i + 1}`,
        message: `Write number, name and kind, as '3 1Y out'; kinds are ${pinKinds.join(", ")}.`,
      };
    pins.push({ number, name, kind: known });
  }
  const rails: PartType["rails"] = [];
  for (const [i, line] of linesOf(typed.rails)) {
    const [pin = "", ...volts] = line.split(/\s+/);
    const [nominalVolt, minimumVolt, maximumVolt, more] = volts.map(Number);
    if (
      nominalVolt === undefined ||
      minimumVolt === undefined ||
      maximumVolt === undefined ||
      more !== undefined ||
      volts.some((volt) => !Number.isFinite(Number(volt)))
    )
      return {
        where: `Supply, line ${i + 1}`,
        message: "Write the pin's name and its nominal, least and most volts, as 'VCC 5 4.75 5.25'.",
      };
    rails.push({ pin, nominalVolt, minimumVolt, maximumVolt });
  }
  let behaviour: unknown = { kind: "cautious" };
  try {
    if (typed.behaviour.trim() !== "") behaviour = JSON.parse(typed.behaviour);
  } catch {
    return { where: "Behaviour", message: "This is no JSON; leave it empty for the cautious rule." };
  }
  const read = partTypeSchema.safeParse({
    ...(base?.complexity === undefined ? {} : { complexity: base.complexity }),
    ...(base?.supplyCurrentMilliampere === undefined
      ? {}
      : { supplyCurrentMilliampere: base.supplyCurrentMilliampere }),
    type: typed.type.trim(),
    title: typed.title.trim(),
    package: typed.package.trim(),
    technology: typed.technology,
    family: typed.family,
    pins: asBoard ? "as-board" : pins,
    rails,
    behaviour,
    sources: base?.sources ?? [{ id: "common-practice", confidence: "memory" }],
  });
  if (read.success) return { type: read.data };
  const [issue] = read.error.issues;
  return { where: issue?.path.join(".") ?? "type", message: issue?.message ?? "It does not have its form." };
}

function linesOf(text: string): [number, string][] {
  return text
    .split("\n")
    .map((line, i): [number, string] => [i, line.trim()])
    .filter(([, line]) => line !== "");
}
