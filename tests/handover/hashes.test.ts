import { readFileSync } from 'node:fs';
import {
  checksumList,
  type HashedFile,
  type HashListInfo,
  mediaHashList,
  UnlistablePath,
} from '@plumbline/shared/handover';
import { XMLParser } from 'fast-xml-parser';
import { describe, expect, it } from 'vitest';
import { validateXML } from 'xmllint-wasm';

/**
 * The rules of the ASC Media Hash List that a list of files falls under, in our own words. Source: XML schema of
 * `urn:ASC:MHL:v2.0` (ascmitc/mhl, xsd/ASCMHL.xsd, MIT): the order of elements, what must stand, and the three words of
 * `process` and `action`. With PLUMBLINE_MHL_XSD naming that file the lists are validated against the file itself.
 */
const RULES = `<?xml version="1.0" encoding="UTF-8"?>
<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" xmlns:m="urn:ASC:MHL:v2.0"
  targetNamespace="urn:ASC:MHL:v2.0" elementFormDefault="qualified">
  <xs:simpleType name="action"><xs:restriction base="xs:string">
    <xs:enumeration value="original"/><xs:enumeration value="verified"/><xs:enumeration value="failed"/>
  </xs:restriction></xs:simpleType>
  <xs:complexType name="sum"><xs:simpleContent><xs:extension base="xs:string">
    <xs:attribute name="action" type="m:action"/><xs:attribute name="hashdate" type="xs:dateTime"/>
  </xs:extension></xs:simpleContent></xs:complexType>
  <xs:element name="hashlist"><xs:complexType>
    <xs:sequence>
      <xs:element name="creatorinfo"><xs:complexType><xs:sequence>
        <xs:element name="creationdate" type="xs:dateTime"/>
        <xs:element name="hostname" type="xs:string"/>
        <xs:element name="tool"><xs:complexType><xs:simpleContent><xs:extension base="xs:string">
          <xs:attribute name="version" type="xs:string"/></xs:extension></xs:simpleContent></xs:complexType></xs:element>
        <xs:element name="author" minOccurs="0" maxOccurs="unbounded"><xs:complexType><xs:simpleContent>
          <xs:extension base="xs:string"><xs:attribute name="role" type="xs:string"/></xs:extension>
        </xs:simpleContent></xs:complexType></xs:element>
        <xs:element name="location" type="xs:string" minOccurs="0"/>
        <xs:element name="comment" type="xs:string" minOccurs="0"/>
      </xs:sequence></xs:complexType></xs:element>
      <xs:element name="processinfo"><xs:complexType><xs:sequence>
        <xs:element name="process"><xs:simpleType><xs:restriction base="xs:string">
          <xs:enumeration value="in-place"/><xs:enumeration value="transfer"/><xs:enumeration value="flatten"/>
        </xs:restriction></xs:simpleType></xs:element>
        <xs:element name="ignore" minOccurs="0"><xs:complexType><xs:sequence>
          <xs:element name="pattern" type="xs:string" maxOccurs="unbounded"/></xs:sequence></xs:complexType></xs:element>
      </xs:sequence></xs:complexType></xs:element>
      <xs:element name="hashes" minOccurs="0"><xs:complexType><xs:sequence>
        <xs:element name="hash" maxOccurs="unbounded"><xs:complexType><xs:sequence>
          <xs:element name="path"><xs:complexType><xs:simpleContent><xs:extension base="xs:string">
            <xs:attribute name="size" type="xs:integer"/>
            <xs:attribute name="creationdate" type="xs:dateTime"/>
            <xs:attribute name="lastmodificationdate" type="xs:dateTime"/>
          </xs:extension></xs:simpleContent></xs:complexType></xs:element>
          <xs:choice maxOccurs="unbounded">
            <xs:element name="md5" type="m:sum"/><xs:element name="sha1" type="m:sum"/>
            <xs:element name="c4" type="m:sum"/><xs:element name="xxh32" type="m:sum"/>
            <xs:element name="xxh64" type="m:sum"/><xs:element name="xxh3" type="m:sum"/>
            <xs:element name="xxh128" type="m:sum"/>
          </xs:choice>
        </xs:sequence></xs:complexType></xs:element>
      </xs:sequence></xs:complexType></xs:element>
    </xs:sequence>
    <xs:attribute name="version" fixed="2.0" use="required"/>
  </xs:complexType></xs:element>
</xs:schema>`;

const published = process.env.PLUMBLINE_MHL_XSD;
const schema = published === undefined ? RULES : readFileSync(published, 'utf8');

const info: HashListInfo = {
  createdAt: Date.UTC(2027, 4, 14, 18),
  hostname: 'cart & co',
  tool: { name: 'Plumbline', version: '0.1.0' },
  author: { name: 'Teodor <Vance>', role: 'Camera "A"' },
  comment: 'Card A-01',
  process: 'transfer',
  ignored: ['.DS_Store', 'ascmhl'],
};

const files: readonly HashedFile[] = [
  {
    path: 'A001/C003 & more <1>.mov',
    bytes: 5_000_000_000,
    modifiedAt: Date.UTC(2027, 4, 14, 9),
    sums: { xxh64: '0ea03b369a463d9d', md5: '9e107d9d372bb6826bd81d3542a419d6' },
    action: 'original',
    hashedAt: Date.UTC(2027, 4, 14, 17),
  },
  { path: '音/綱.wav', bytes: 0, sums: { xxh64: 'ef46db3751d8e999' }, action: 'verified', hashedAt: 0 },
];

async function errorsOf(xml: string): Promise<readonly string[]> {
  const { errors } = await validateXML({
    xml: [{ fileName: 'list.mhl', contents: xml }],
    schema: [{ fileName: 'rules.xsd', contents: schema }],
  });
  return errors.map(({ message }) => message);
}

describe('a media hash list', () => {
  it('is what its schema asks for, by a validator that is not ours', async () => {
    expect(await errorsOf(mediaHashList(info, files))).toEqual([]);
    const { author: _, comment: __, ignored: ___, ...least } = info;
    expect(await errorsOf(mediaHashList(least, files))).toEqual([]);
    expect(
      (await errorsOf(mediaHashList(info, files).replace('<hostname>', '<host>'))).length,
    ).toBeGreaterThan(0);
    expect((await errorsOf(mediaHashList(info, files).replace('original', 'new'))).length).toBeGreaterThan(0);
  });

  it('gives every path and checksum back to a reader that is not ours', () => {
    const told = new XMLParser({ ignoreAttributes: false, parseTagValue: false }).parse(
      mediaHashList(info, files),
    );
    const hashes = told.hashlist.hashes.hash as { path: { '#text': string }; xxh64: { '#text': string } }[];
    expect(hashes.map(({ path, xxh64 }) => [path['#text'], xxh64['#text']])).toEqual(
      files.map(({ path, sums }) => [path, sums.xxh64]),
    );
  });

  it('is refused where a kind of checksum has no place in it, and where there is no file', () => {
    const [file] = files;
    if (!file) throw new Error('no file');
    expect(() => mediaHashList(info, [{ ...file, sums: { sha256: 'ab' } }])).toThrow(RangeError);
    expect(() => mediaHashList(info, [])).toThrow(RangeError);
  });

  it.each([['/etc/passwd'], ['../up.mov'], ['a/../../b'], ['a\nb'], ['a\\b'], [''], ['\ud800']])(
    'takes no path %j: it leads out, or no list can hold it',
    (path) => {
      const [file] = files;
      if (!file) throw new Error('no file');
      expect(() => mediaHashList(info, [{ ...file, path }])).toThrow(UnlistablePath);
      expect(() => checksumList('md5', [{ ...file, path }])).toThrow(UnlistablePath);
    },
  );
});

describe('a plain list of checksums', () => {
  it('has the form that the usual tools check: sum, two spaces, name', () => {
    // GNU coreutils manual, "md5sum invocation".
    expect(checksumList('xxh64', files)).toBe(
      '0ea03b369a463d9d  A001/C003 & more <1>.mov\nef46db3751d8e999  音/綱.wav\n',
    );
    expect(checksumList('md5', files)).toBe('9e107d9d372bb6826bd81d3542a419d6  A001/C003 & more <1>.mov\n');
  });
});
