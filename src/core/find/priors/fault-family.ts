import { z } from "zod";
import { type FailureFamily, failureFamilies } from "../../board/part-type.js";

/**
 * Things that fail without being a part of the parts list: a leg in its socket, a track or joint, two
 * neighbouring pins that touch, and a part that was fitted wrongly.
 */
export const structures = ["socket", "track", "bridge", "wrong-part"] as const;
export type Structure = (typeof structures)[number];

/** A group of parts or structures that fail alike; `none` (heat sinks, test points) cannot fail. */
export type FaultFamily = Exclude<FailureFamily, "none"> | Structure;

/** Families of parts, without `none`. */
export const partFamilies = failureFamilies.filter(
  (family): family is Exclude<FailureFamily, "none"> => family !== "none",
);

/** All families, parts first. */
export const faultFamilies: readonly FaultFamily[] = [...partFamilies, ...structures];

/** A family name; unknown ones are rejected. */
export const faultFamilySchema = z.enum(faultFamilies).describe("Failure family, or one of the structures.");
