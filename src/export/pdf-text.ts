/**
 * Text in a PDF that can be selected and searched in any script. What the standard font holds (WinAnsi) is
 * set in it; everything else is painted by the platform, which shapes it rightly, over invisible text that
 * carries the characters (ISO 32000-1: text rendering mode 3, and a ToUnicode map, 9.10.3).
 */
import {
  beginText,
  endText,
  type PDFDocument,
  type PDFFont,
  PDFHexString,
  PDFName,
  PDFNumber,
  type PDFPage,
  type PDFRef,
  StandardFonts,
  setCharacterSqueeze,
  setFontAndSize,
  setTextMatrix,
  setTextRenderingMode,
  showText,
  TextRenderingMode,
} from '@cantoo/pdf-lib';
import type { ExportPainter } from './painter.ts';
import { ink, soft } from './pdf-look.ts';
import { wrap } from './wrap.ts';

interface TextLook {
  readonly bold?: boolean;
  readonly soft?: boolean;
}

/** Paints one line per width; longer words are broken where the script allows. */
export interface PdfText {
  width(text: string, size: number, look?: TextLook): Promise<number>;
  wrap(text: string, size: number, maxWidth: number, look?: TextLook): Promise<string[]>;
  /** Baseline at `y`, PDF points from the lower left corner. */
  draw(page: PDFPage, text: string, x: number, y: number, size: number, look?: TextLook): Promise<void>;
  /** Once, after the last `draw`. */
  finish(): void;
}

export async function pdfText(doc: PDFDocument, painter: ExportPainter): Promise<PdfText> {
  const plain = await doc.embedFont(StandardFonts.Helvetica);
  const strong = await doc.embedFont(StandardFonts.HelveticaBold);
  const known = new Set(plain.getCharacterSet());
  const inFont = (text: string): boolean =>
    Array.from(text).every((char) => known.has(char.codePointAt(0) ?? 0));
  const invisible = invisibleFont(doc);
  const pictures = new Map<string, ReturnType<typeof paint>>();

  async function paint(text: string, size: number) {
    const painted = await painter.paintText(text, size);
    return { ...painted, image: await doc.embedPng(painted.png) };
  }
  const fontOf = ({ bold }: TextLook): PDFFont => (bold ? strong : plain);
  const width = async (text: string, size: number, look: TextLook = {}): Promise<number> =>
    inFont(text) ? fontOf(look).widthOfTextAtSize(text, size) : painter.textWidth(text, size);

  async function draw(page: PDFPage, text: string, x: number, y: number, size: number, look: TextLook = {}) {
    if (text === '') return;
    if (inFont(text)) {
      page.drawText(text, { x, y, size, font: fontOf(look), color: look.soft ? soft : ink });
      return;
    }
    const key = `${size} ${text}`;
    const painting = pictures.get(key) ?? paint(text, size);
    pictures.set(key, painting);
    const { image, width: wide, height, baseline } = await painting;
    page.drawImage(image, { x, y: y - (height - baseline), width: wide, height });
    drawInvisible(page, invisible.font, invisible.codesOf(text), x, y, size, wide);
  }

  return {
    width,
    draw,
    wrap: (text, size, maxWidth, look) => wrap(text, maxWidth, (part) => width(part, size, look)),
    finish: () => invisible.finish(),
  };
}

function drawInvisible(
  page: PDFPage,
  font: PDFRef,
  codes: readonly number[],
  x: number,
  y: number,
  size: number,
  width: number,
): void {
  page.pushOperators(
    beginText(),
    setFontAndSize(page.node.newFontDictionary('Unseen', font), size),
    setTextRenderingMode(TextRenderingMode.Invisible),
    // Every character is half the size wide: squeezed so that a selection covers the picture.
    setCharacterSqueeze((100 * width) / (codes.length * size * 0.5)),
    setTextMatrix(1, 0, 0, 1, x, y),
    showText(PDFHexString.of(codes.map(fourDigits).join(''))),
    setTextRenderingMode(TextRenderingMode.Fill),
    setCharacterSqueeze(100),
    endText(),
  );
}

function fourDigits(code: number): string {
  return code.toString(16).padStart(4, '0');
}

interface InvisibleFont {
  readonly font: PDFRef;
  /** A code for each character, new ones made as needed. */
  codesOf(text: string): number[];
  /** Writes the map from codes to characters. */
  finish(): void;
}

/** A font without outlines; its codes are given out one by one. */
function invisibleFont(doc: PDFDocument): InvisibleFont {
  const { context } = doc;
  const name = PDFName.of('Unseen');
  const descriptor = context.register(
    context.obj({
      Type: 'FontDescriptor',
      FontName: name,
      Flags: 4,
      FontBBox: [0, 0, 500, 1000],
      ItalicAngle: 0,
      Ascent: 800,
      Descent: -200,
      CapHeight: 700,
      StemV: 80,
    }),
  );
  const descendant = context.register(
    context.obj({
      Type: 'Font',
      Subtype: 'CIDFontType2',
      BaseFont: name,
      CIDSystemInfo: {
        Registry: PDFHexString.fromText('Adobe'),
        Ordering: PDFHexString.fromText('Identity'),
        Supplement: 0,
      },
      FontDescriptor: descriptor,
      DW: PDFNumber.of(500),
    }),
  );
  const toUnicode = context.nextRef();
  const codes = new Map<string, number>();
  const font = context.register(
    context.obj({
      Type: 'Font',
      Subtype: 'Type0',
      BaseFont: name,
      Encoding: 'Identity-H',
      DescendantFonts: [descendant],
      ToUnicode: toUnicode,
    }),
  );
  const codeOf = (char: string): number => {
    const code = codes.get(char) ?? codes.size + 1;
    codes.set(char, code);
    return code;
  };
  return {
    font,
    codesOf: (text) => Array.from(inVisualOrder(text), codeOf),
    finish: () => context.assign(toUnicode, context.flateStream(toUnicodeMap(codes))),
  };
}

const rightToLeft = /[\p{Script=Hebrew}\p{Script=Arabic}\p{Script=Syriac}\p{Script=Thaana}\p{Script=Nko}]/u;
const rightToLeftRun = new RegExp(
  `${rightToLeft.source}(?:(?:${rightToLeft.source}|\\p{M}|[\\s,.:;!?-])*(?:${rightToLeft.source}|\\p{M}))?`,
  'gu',
);

/**
 * Readers of a PDF take text to lie from left to right as it is seen, and turn right-to-left runs round
 * themselves.
 */
function inVisualOrder(text: string): string {
  return text.replace(rightToLeftRun, (run) => Array.from(run).reverse().join(''));
}

/** A block holds at most 100 pairs (Adobe technical note 5014). */
function toUnicodeMap(codes: ReadonlyMap<string, number>): string {
  const pairs = [...codes].map(([char, code]) => {
    const units = Array.from({ length: char.length }, (_, i) => fourDigits(char.charCodeAt(i))).join('');
    return `<${fourDigits(code)}> <${units}>`;
  });
  const blocks = Array.from({ length: Math.ceil(pairs.length / 100) }, (_, i) => {
    const block = pairs.slice(100 * i, 100 * i + 100);
    return `${block.length} beginbfchar\n${block.join('\n')}\nendbfchar`;
  });
  return `/CIDInit /ProcSet findresource begin
12 dict begin
begincmap
/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def
/CMapName /Unseen def
/CMapType 2 def
1 begincodespacerange
<0000> <ffff>
endcodespacerange
${blocks.join('\n')}
endcmap
CMapName currentdict /CMap defineresource pop
end
end`;
}
