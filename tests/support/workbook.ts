import { crc32 } from 'node:zlib';

/** A cell of a hand-written workbook: text, a number, or a number shown as a date or a time of day. */
export type WorkbookCell = string | number | { readonly date: number } | { readonly time: number } | null;

/**
 * A workbook written by hand in the form of ECMA-376 (Office Open XML, part 1: SpreadsheetML), stored in a zip without compression,
 * so that reading spreadsheets is tested against the standard and not against a library's own writing. Dates are serial
 * numbers of days from 1899-12-30 shown by number format 14, times fractions of a day shown by number format 20
 * (18.8.30 of the standard).
 */
export function workbook(sheets: Readonly<Record<string, readonly (readonly WorkbookCell[])[]>>): Buffer {
  const main = 'http://schemas.openxmlformats.org/spreadsheetml/2006/main';
  const relations = 'http://schemas.openxmlformats.org/officeDocument/2006/relationships';
  const head = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>';
  const types = 'application/vnd.openxmlformats-officedocument.spreadsheetml';
  const names = Object.keys(sheets);
  const files: [string, string][] = [
    [
      '[Content_Types].xml',
      `${head}<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="${types}.sheet.main+xml"/><Override PartName="/xl/styles.xml" ContentType="${types}.styles+xml"/>${names.map((_, index) => `<Override PartName="/xl/worksheets/sheet${index + 1}.xml" ContentType="${types}.worksheet+xml"/>`).join('')}</Types>`,
    ],
    [
      '_rels/.rels',
      `${head}<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="${relations}/officeDocument" Target="xl/workbook.xml"/></Relationships>`,
    ],
    [
      'xl/workbook.xml',
      `${head}<workbook xmlns="${main}" xmlns:r="${relations}"><sheets>${names.map((name, index) => `<sheet name="${escaped(name)}" sheetId="${index + 1}" r:id="rId${index + 1}"/>`).join('')}</sheets></workbook>`,
    ],
    [
      'xl/_rels/workbook.xml.rels',
      `${head}<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">${names.map((_, index) => `<Relationship Id="rId${index + 1}" Type="${relations}/worksheet" Target="worksheets/sheet${index + 1}.xml"/>`).join('')}<Relationship Id="rId99" Type="${relations}/styles" Target="styles.xml"/></Relationships>`,
    ],
    [
      'xl/styles.xml',
      `${head}<styleSheet xmlns="${main}"><fonts count="1"><font/></fonts><fills count="1"><fill/></fills><borders count="1"><border/></borders><cellStyleXfs count="1"><xf/></cellStyleXfs><cellXfs count="3"><xf numFmtId="0" xfId="0"/><xf numFmtId="14" xfId="0" applyNumberFormat="1"/><xf numFmtId="20" xfId="0" applyNumberFormat="1"/></cellXfs></styleSheet>`,
    ],
    ...names.map((name, index): [string, string] => [
      `xl/worksheets/sheet${index + 1}.xml`,
      `${head}<worksheet xmlns="${main}"><sheetData>${(sheets[name] ?? []).map((row, r) => `<row r="${r + 1}">${row.map((cell, c) => cellXml(cell, `${String.fromCharCode(65 + c)}${r + 1}`)).join('')}</row>`).join('')}</sheetData></worksheet>`,
    ]),
  ];
  return storedZip(files);
}

function cellXml(cell: WorkbookCell, at: string): string {
  if (cell === null) return '';
  if (typeof cell === 'string') return `<c r="${at}" t="inlineStr"><is><t>${escaped(cell)}</t></is></c>`;
  if (typeof cell === 'number') return `<c r="${at}"><v>${cell}</v></c>`;
  return 'date' in cell
    ? `<c r="${at}" s="1"><v>${cell.date}</v></c>`
    : `<c r="${at}" s="2"><v>${cell.time}</v></c>`;
}

function escaped(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('"', '&quot;');
}

/** A zip file without compression (PKWARE APPNOTE 6.3, sections 4.3.7, 4.3.12 and 4.3.16). */
function storedZip(files: readonly (readonly [string, string])[]): Buffer {
  const local: Buffer[] = [];
  const central: Buffer[] = [];
  let offset = 0;
  for (const [name, text] of files) {
    const data = Buffer.from(text);
    const fields = Buffer.alloc(26);
    fields.writeUInt16LE(20, 0);
    fields.writeUInt32LE(crc32(data), 10);
    fields.writeUInt32LE(data.length, 14);
    fields.writeUInt32LE(data.length, 18);
    fields.writeUInt16LE(Buffer.byteLength(name), 22);
    const entry = Buffer.concat([Buffer.from('PK\x03\x04'), fields, Buffer.from(name), data]);
    local.push(entry);
    const more = Buffer.alloc(14);
    more.writeUInt32LE(offset, 10);
    central.push(
      Buffer.concat([Buffer.from('PK\x01\x02'), Buffer.from([20, 0]), fields, more, Buffer.from(name)]),
    );
    offset += entry.length;
  }
  const size = central.reduce((sum, each) => sum + each.length, 0);
  const end = Buffer.alloc(18);
  end.writeUInt16LE(files.length, 4);
  end.writeUInt16LE(files.length, 6);
  end.writeUInt32LE(size, 8);
  end.writeUInt32LE(offset, 12);
  return Buffer.concat([...local, ...central, Buffer.from('PK\x05\x06'), end]);
}
