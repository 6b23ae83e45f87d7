import type { ListingRow, SelfTestImage } from "./image.js";

/** A place in an instruction that is filled in once all labels are known. */
export interface Reference {
  /** `word`: two bytes, low first. `low`, `high`: one of them. `offset`: distance from the next instruction. */
  readonly kind: "word" | "low" | "high" | "offset";
  readonly label: string;
  /** Added to the label's address. */
  readonly plus?: number;
}

/** Bytes of an instruction, references among them. */
export type Encoded = readonly (number | Reference)[];

interface Row {
  readonly address: number;
  readonly encoded: Encoded;
  readonly label?: string;
  readonly source: string;
  readonly comment?: string;
  readonly isData: boolean;
}

/** Collects instructions and data with their source text, and fills in the labels at the end. */
export class Emitter {
  readonly #rows: Row[] = [];
  readonly #symbols = new Map<string, number>();
  readonly #origin: number;
  #address: number;
  #fresh = 0;

  constructor(origin: number) {
    this.#origin = origin;
    this.#address = origin;
  }

  /** Address of the next byte. */
  get address(): number {
    return this.#address;
  }

  /** Gives the next byte a name. Throws `RangeError` if the name is taken. */
  label(name: string, comment?: string): void {
    if (this.#symbols.has(name)) throw new RangeError(`label ${name} is there twice`);
    this.#symbols.set(name, this.#address);
    this.#rows.push({
      address: this.#address,
      encoded: [],
      label: name,
      source: "",
      isData: false,
      ...(comment === undefined ? {} : { comment }),
    });
  }

  /** A name that no label has yet. */
  fresh(stem: string): string {
    this.#fresh += 1;
    return `${stem}_${this.#fresh}`;
  }

  /** Adds an instruction. */
  code(source: string, encoded: Encoded, comment?: string): void {
    this.#add(source, encoded, comment, false);
  }

  /** Adds bytes that are not run. */
  data(source: string, encoded: Encoded, comment?: string): void {
    this.#add(source, encoded, comment, true);
  }

  /** Goes on at a later address; what lies between is filled. Throws `RangeError` if the place is taken already. */
  skipTo(address: number): void {
    if (address < this.#address)
      throw new RangeError(`cannot go on at ${address}: code has reached ${this.#address}`);
    this.#address = address;
  }

  /**
   * The finished image of `bytes` bytes. Throws `RangeError` if the code does not fit, a label is missing, or a branch
   * is too far.
   */
  finish(instructionSet: SelfTestImage["instructionSet"], bytes: number, fill: number): SelfTestImage {
    const image = new Uint8Array(bytes).fill(fill);
    let used = 0;
    let code = 0;
    const rows = this.#rows.map((row): ListingRow => {
      const next = row.address + lengthOf(row.encoded);
      const own = row.encoded.flatMap((part) =>
        typeof part === "number" ? [part] : this.#resolve(part, next),
      );
      if (next > this.#origin + bytes)
        throw new RangeError(`the code needs ${next - this.#origin} bytes, the ROM holds ${bytes}`);
      image.set(own, row.address - this.#origin);
      used += own.length;
      if (!row.isData) code += own.length;
      const { address, label, source, comment } = row;
      return {
        address,
        bytes: own,
        source,
        ...(label === undefined ? {} : { label }),
        ...(comment === undefined ? {} : { comment }),
      };
    });
    return {
      instructionSet,
      bytes: image,
      origin: this.#origin,
      usedBytes: used,
      codeBytes: code,
      rows,
      symbols: new Map(this.#symbols),
    };
  }

  #add(source: string, encoded: Encoded, comment: string | undefined, isData: boolean): void {
    const address = this.#address;
    this.#rows.push({ address, encoded, source, isData, ...(comment === undefined ? {} : { comment }) });
    this.#address += lengthOf(encoded);
  }

  #resolve({ kind, label, plus = 0 }: Reference, next: number): number[] {
    const found = this.#symbols.get(label);
    if (found === undefined) throw new RangeError(`there is no label ${label}`);
    const target = (found + plus) & 0xffff;
    switch (kind) {
      case "word":
        return [target & 0xff, target >> 8];
      case "low":
        return [target & 0xff];
      case "high":
        return [target >> 8];
      case "offset": {
        const distance = target - next;
        if (distance < -128 || distance > 127)
          throw new RangeError(`${label} is ${distance} bytes away, further than a short branch reaches`);
        return [distance & 0xff];
      }
    }
  }
}

function lengthOf(encoded: Encoded): number {
  return encoded.reduce<number>(
    (sum, part) => sum + (typeof part !== "number" && part.kind === "word" ? 2 : 1),
    0,
  );
}
