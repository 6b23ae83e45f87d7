/**
 * The smallest circuit of Brglez and Fujiwara 1985, written from its six equations. Its ports and nets are numbered as
 * the lines of the original are.
 */
export const c17Text = `
INPUT(1)
INPUT(2)
INPUT(3)
INPUT(6)
INPUT(7)
OUTPUT(22)
OUTPUT(23)
10 = nand(1, 3)
11 = nand(3, 6)
16 = nand(2, 11)
19 = nand(11, 7)
22 = nand(10, 16)
23 = nand(16, 19)
`;
