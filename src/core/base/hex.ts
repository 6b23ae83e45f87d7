/** A number in hexadecimal, upper case, padded with zeros to `digits`: four are what an address of 64 KiB takes. */
export function hex(value: number, digits = 4): string {
  return value.toString(16).toUpperCase().padStart(digits, "0");
}
