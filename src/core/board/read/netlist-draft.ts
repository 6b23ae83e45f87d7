/** What a netlist file says, before any of it is understood as parts and rails. */
export interface NetlistDraft {
  /** Title from the title block, if it has one. */
  readonly title?: string;
  /** Program that wrote the file, as it names itself. */
  readonly tool?: string;
  readonly components: readonly DraftComponent[];
  readonly nets: readonly DraftNet[];
  readonly libraryParts: readonly DraftLibraryPart[];
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
