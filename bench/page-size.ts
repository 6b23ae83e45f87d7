/*
 * Why: the page is opened on a tablet over the local network; this says what it weighs as it is sent, file by file. A
 * test holds the sum below its bound. Needs the built page.
 */
import { readPageFiles } from "./support/page-files.js";

const files = readPageFiles()
  .map(({ address, sentBytes, bytes }) => ({ address, sentBytes, wholeBytes: bytes.length }))
  .sort((a, b) => b.sentBytes - a.sentBytes);
const totalSentBytes = files.reduce((sum, file) => sum + file.sentBytes, 0);
console.log(JSON.stringify({ totalSentBytes, files }));
