import { readFileSync } from "node:fs";
import { z } from "zod";

const dataSchema = z.strictObject({
  pinTables: z.array(
    z.strictObject({
      type: z.string(),
      package: z.string(),
      confidence: z.enum(["seen", "memory"]),
      pins: z.string(),
    }),
  ),
  symbols: z.array(
    z.strictObject({
      type: z.string(),
      library: z.string(),
      symbol: z.string(),
      pins: z.string(),
      /** The symbol counts pins from 0 where we count from 1. */
      numberedFromZero: z.boolean().optional(),
      /** Numbers of pins that the symbol draws with another direction, see source.md. */
      drawnDifferently: z.array(z.string()).optional(),
    }),
  ),
});

/** One table of data.json, as it stands there. */
export type PinTable = z.infer<typeof dataSchema>["pinTables"][number];
export type SymbolTable = z.infer<typeof dataSchema>["symbols"][number];

/** `number:name:kind` of the pin tables. */
export interface TablePin {
  readonly number: string;
  readonly name: string;
  readonly kind: string;
}

/** `number:unit:direction:name` of the symbols; an unnamed pin has the name `.`. */
export interface SymbolPin {
  readonly number: string;
  readonly unit: string;
  readonly direction: string;
  readonly name: string;
}

/** The transcribed tables of this folder. */
export function readPinTableData(): z.infer<typeof dataSchema> {
  return dataSchema.parse(JSON.parse(readFileSync(new URL("data.json", import.meta.url), "utf8")));
}

export function tablePins(table: PinTable): TablePin[] {
  return table.pins.split(" ").map((text) => {
    const [number = "", name = "", kind = ""] = text.split(":");
    return { number, name, kind };
  });
}

export function symbolPins(table: SymbolTable): SymbolPin[] {
  return table.pins.split(" ").map((text) => {
    const [number = "", unit = "", direction = "", name = ""] = text.split(":");
    return { number, unit, direction, name };
  });
}
