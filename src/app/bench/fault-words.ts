import type { Fault } from "../../core/find/faults/fault.js";

const siteWords = { part: "", socket: "socket", track: "track or joint", bridge: "bridge" } as const;

/** A fault in a few words: `output stuck low, pin 6`, `track open at pin 3, only when warm`. */
export function describeFault(fault: Pick<Fault, "mode" | "site" | "detail" | "manifestation">): string {
  const where = [siteWords[fault.site], fault.detail].filter((word) => word !== "").join(" ");
  const said = [fault.mode.replaceAll("-", " "), where];
  if (fault.manifestation === "warm-only") said.push("only when warm");
  if (fault.manifestation === "intermittent") said.push("now and then");
  return said.filter((word) => word !== "").join(", ");
}
