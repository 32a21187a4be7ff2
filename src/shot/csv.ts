/** Comma-separated values after RFC 4180. */

/**
 * Records of a CSV text. Takes CRLF, LF or CR between records, a byte order mark, quoted fields with
 * commas, line breaks and doubled quotes; `,` `;` or tab between fields, whichever the first line uses most
 * (spreadsheets in many countries write `;`). An unclosed quote runs to the end. Empty lines are left out.
 */
export function readCsv(text: string): string[][] {
  const source = text.replace(/^\uFEFF/, '');
  const separator = separatorOf(source);
  const records: string[][] = [];
  let record: string[] = [];
  let field = '';
  let quoted = false;
  const endRecord = () => {
    record.push(field);
    if (record.length > 1 || field !== '') records.push(record);
    record = [];
    field = '';
  };
  for (let i = 0; i < source.length; i++) {
    const char = source.charAt(i);
    if (quoted) {
      if (char !== '"') field += char;
      else if (source[i + 1] === '"') field += source.charAt(i++);
      else quoted = false;
    } else if (char === '"' && field === '') quoted = true;
    else if (char === separator) {
      record.push(field);
      field = '';
    } else if (char === '\n' || char === '\r') {
      if (char === '\r' && source[i + 1] === '\n') i++;
      endRecord();
    } else field += char;
  }
  if (field !== '' || record.length > 0) endRecord();
  return records;
}

function separatorOf(source: string): string {
  const firstLine = source.replace(/"(?:[^"]|"")*"/g, '').split(/[\r\n]/, 1)[0] ?? '';
  const count = (char: string) => firstLine.split(char).length;
  return [';', '\t'].reduce((best, char) => (count(char) > count(best) ? char : best), ',');
}

/** One text: commas, CRLF after every record, a field quoted where it must be. No byte order mark. */
export function writeCsv(records: readonly (readonly (string | number)[])[]): string {
  return records.map((record) => `${record.map(csvField).join(',')}\r\n`).join('');
}

function csvField(value: string | number): string {
  const text = String(value);
  return /[",\r\n;\t]|^\s|\s$/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
