import type { CircuitView } from "./circuit-view.js";
import type { Finding } from "./finding.js";

/** Parts whose type the library does not know: nothing can be computed through them. */
export function findUnknownTypes({ board, types }: CircuitView): Finding[] {
  return board.parts.flatMap((part): Finding[] => {
    if (types.get(part.type) !== undefined) return [];
    const message = `The type '${part.type}' is not in the part library, so its pins could not be checked.`;
    return [{ rule: "unknown-type", at: part.ref, message, severity: "error" }];
  });
}
