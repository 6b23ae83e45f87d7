/** What a netlist file says, before any of it is understood as parts and rails. */
export interface NetlistDraft {
  /** Title from the title block, if it has one. */
  readonly title?: string;
  /** Program that wrote the file, as it names itself. */
  readonly tool?: string;
  readonly components: readonly DraftComponent[];
  readonly nets: readonly DraftNet[];
  readonly libraryParts: readonly DraftLibraryPart[];
  /** Where the components lie; absent if the file says nothing of it. */
  readonly layout?: DraftLayout;
}

/** Places in millimetres along the file's own axes: x to the right, y downwards, seen from the component side. */
export interface DraftLayout {
  /** Smallest upright rectangle round the edge of the board; absent if the file draws no edge. */
  readonly outline?: DraftBox;
  /** By reference; components without pads have none. */
  readonly places: ReadonlyMap<string, DraftPlace>;
}

/** An upright rectangle; `left` and `top` are its smallest coordinates. */
export interface DraftBox {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

/** Where a component lies. */
export interface DraftPlace {
  /** `front` is the component side. */
  readonly side: "front" | "back";
  /** In the order of the file; one for each pin number. */
  readonly pads: readonly DraftPad[];
}

/** The place of a pin. */
export interface DraftPad {
  readonly pin: string;
  readonly xMillimetre: number;
  readonly yMillimetre: number;
}

/** One component; `line` is where it stands in the file. */
export interface DraftComponent {
  readonly ref: string;
  readonly value: string;
  readonly libraryName?: string;
  readonly libraryPart?: string;
  readonly description?: string;
  readonly footprint?: string;
  /** Further fields by name, as the drawer of the schematic entered them. */
  readonly fields: ReadonlyMap<string, string>;
  /** Marked as not fitted. */
  readonly notFitted: boolean;
  readonly line: number;
}

/** One net; every pin of the file is in at most one net. */
export interface DraftNet {
  readonly name: string;
  readonly nodes: readonly DraftNode[];
  readonly line: number;
}

/** A pin on a net; function and electrical type are the schematic symbol's, where the file gives them. */
export interface DraftNode {
  readonly ref: string;
  readonly pin: string;
  readonly pinFunction?: string;
  readonly pinType?: string;
  readonly line: number;
}

/** A schematic symbol with its pins. */
export interface DraftLibraryPart {
  readonly libraryName: string;
  readonly part: string;
  /** Other names of the same symbol. */
  readonly aliases: readonly string[];
  readonly description?: string;
  readonly pins: readonly DraftPin[];
}

/** `electricalType` as the schematic program writes it: `input`, `power_in`, `3state`, ... */
export interface DraftPin {
  readonly number: string;
  readonly name: string;
  readonly electricalType: string;
}
