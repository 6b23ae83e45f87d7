import type { Board } from "../board.js";
import type { PartType } from "../part-type.js";
import type { PartTypeSource } from "../read/board-semantics.js";
import { localType } from "./local-type.js";
import type { PlacedPart } from "./placed-parts.js";

/** Makes types for parts that have none; each gets its own, because the same symbol may have other pins in use. */
export function makeLocalTypes(
  parts: readonly PlacedPart[],
  context: { readonly library: PartTypeSource; readonly ground: string; readonly rails: Board["rails"] },
): {
  readonly parts: readonly (PlacedPart & { readonly type: PartType })[];
  readonly localTypes: readonly PartType[];
} {
  const localTypes: PartType[] = [];
  const complete = parts.map((part) => {
    if (part.type !== undefined) return { ...part, type: part.type };
    const label = part.component.value || part.component.libraryPart || "part";
    let name = `${label} (${part.ref})`;
    while (context.library.get(name) !== undefined) name = `${name}'`;
    const type = localType(part.component, {
      name,
      isGround: (pin) => part.nets.get(pin) === context.ground,
      railVolt: (pin) => context.rails.find((rail) => rail.net === part.nets.get(pin))?.nominalVolt,
    });
    localTypes.push(type);
    return { ...part, type };
  });
  return { parts: complete, localTypes };
}
