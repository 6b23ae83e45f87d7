import { z } from "zod";
import { momentSchema } from "./shapes.js";

/** Most bytes of a picture. */
export const mostPhotoBytes = 12_000_000;
/** Most bytes of a request that brings one: base64 takes four characters for three bytes. */
export const mostPhotoRequestBytes = 16_500_000;

export const photoSideSchema = z.enum(["component", "solder"]);
export type PhotoSide = z.infer<typeof photoSideSchema>;

/** Places of the board tapped on a picture. */
export const photoMarksSchema = z.strictObject({
  marks: z
    .array(
      z.strictObject({
        pin: z.string().min(1).max(120).describe("Pin as `U7.1`."),
        x: z.number().min(0).max(100_000).describe("Pixels from the left edge of the picture."),
        y: z.number().min(0).max(100_000).describe("Pixels from its top edge."),
      }),
    )
    .max(12),
});
export type PhotoMarks = z.infer<typeof photoMarksSchema>;

/** A picture of one side of a job's board. */
export const photoSchema = z.strictObject({
  side: photoSideSchema,
  at: momentSchema,
  widthPixel: z.number().int(),
  heightPixel: z.number().int(),
  marks: photoMarksSchema.shape.marks.describe("Two or more lay the picture over the map."),
});
export type Photo = z.infer<typeof photoSchema>;

/** A picture as it is brought. */
export const newPhotoSchema = z.strictObject({
  side: photoSideSchema,
  data: z
    .string()
    .regex(/^[A-Za-z0-9+/]*={0,2}$/)
    .describe("A JPEG or PNG file in base64. Where and when it was taken is taken out of it."),
});
