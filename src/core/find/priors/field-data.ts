import { z } from "zod";
import { sections } from "../../board/board.js";
import { sourceReferenceSchema } from "../../board/part-type.js";
import { faultFamilySchema } from "./fault-family.js";

const count = z.number().int().nonnegative();
const caseId = z.string().regex(/^case-\d{3}$/);
const className = z.string().regex(/^[a-z][a-z-]*$/);

const countedSchema = z.strictObject({
  histories: count.describe("Histories counted."),
  machineFamilies: z
    .array(z.strictObject({ machineFamily: z.string().min(1), cases: z.array(caseId).min(1) }))
    .describe("Histories by kind of machine, in general words."),
  classes: z
    .array(
      z.strictObject({
        class: className,
        main: count.describe("Histories in which this class is named first."),
        any: z.array(caseId).min(1).describe("Histories in which this class takes part."),
      }),
    )
    .describe("Histories by class of fault."),
  separateFaults: z
    .array(z.strictObject({ faults: z.number().int().positive(), cases: z.array(caseId).min(1) }))
    .describe("Histories by the number of separate faults; several parts of one kind count once."),
});

/** What public repair histories say, as `data/failure/field-factors.json` holds it. */
export const fieldFactorsSchema = z.strictObject({
  $schema: z.string(),
  formatVersion: z.literal(1),
  sources: z.array(sourceReferenceSchema).min(1),
  groups: z
    .array(
      z.strictObject({
        group: z.string().min(1),
        title: z.string().min(1),
        members: z
          .array(
            z.strictObject({
              families: z.array(faultFamilySchema).optional().describe("Any family if absent."),
              sections: z.array(z.enum(sections)).optional().describe("Any section if absent."),
            }),
          )
          .min(1)
          .describe("A part belongs to the first group with a member that fits."),
        classes: z.array(className).describe("Classes of the histories that are counted for this group."),
      }),
    )
    .min(1)
    .describe("Groups of parts that one count speaks for, in the order in which they are tried."),
  table: z
    .strictObject({
      histories: count,
      classes: z.array(
        z.strictObject({ class: className, title: z.string().min(1), main: count, any: count }),
      ),
    })
    .describe("The same counts over the 55 histories of which 52 could be kept; for comparison."),
  counted: countedSchema.describe("Written by scripts/count-histories.ts; do not edit by hand."),
});

export type FieldData = z.infer<typeof fieldFactorsSchema>;
export type CountedHistories = z.infer<typeof countedSchema>;

/** The fields of a repair history that are counted; all others, addresses among them, are dropped. */
export const repairHistorySchema = z.object({
  id: caseId,
  machine_family: z.string().min(1),
  fault_classes: z.array(z.string().regex(/^[a-z][a-z_]*$/)).min(1),
  additional_faults: z.array(z.unknown()),
});

export type RepairHistory = z.infer<typeof repairHistorySchema>;
