/** Rows as a CSV file (RFC 4180) that no table program takes for formulas. Pure. */

/** What makes a table program reckon (OWASP, "CSV Injection"); a plain number is no formula. */
const reckons = /^[=+\-@\t\r\n＝＋－＠]/;
const plainNumber = /^-?\d+(\.\d+)?$/;

function cell(value: string | number | undefined): string {
  const text = value === undefined ? "" : `${value}`;
  const tame = reckons.test(text) && !plainNumber.test(text) ? `'${text}` : text;
  return /[",\r\n]/.test(tame) || tame !== text ? `"${tame.replaceAll('"', '""')}"` : tame;
}

/** A whole file: UTF-8 without mark, lines ended by CR LF. */
export const csv = (rows: readonly (readonly (string | number | undefined)[])[]): string =>
  rows.map((row) => `${row.map(cell).join(",")}\r\n`).join("");
