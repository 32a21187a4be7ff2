/**
 * The fix list as W3C Web Annotations (Web Annotation Data Model, Recommendation 2017) in JSON-LD: strokes
 * as an SvgSelector, a box as a FragmentSelector. Only terms of the vocabulary are used.
 */
import type { Stroke } from '../note/entry.ts';
import type { FixRow } from '../note/fix-list.ts';

const context = 'http://www.w3.org/ns/anno.jsonld';
/** Media Fragments URI 1.0, whose `xywh=` takes whole pixels. */
const mediaFragments = 'http://www.w3.org/TR/media-frags/';

interface TextualBody {
  readonly type: 'TextualBody';
  readonly value: string;
  readonly format: 'text/plain';
  readonly purpose: 'commenting' | 'tagging' | 'classifying' | 'replying';
}

type Selector =
  | { readonly type: 'SvgSelector'; readonly value: string }
  | { readonly type: 'FragmentSelector'; readonly conformsTo: string; readonly value: string };

interface Annotation {
  readonly '@context'?: typeof context;
  readonly id: string;
  readonly type: 'Annotation';
  readonly motivation: 'editing' | 'assessing' | 'replying';
  readonly creator?: { readonly type: 'Person' | 'Software'; readonly name: string };
  readonly created?: string;
  readonly body: readonly TextualBody[];
  readonly target: string | { readonly source: string; readonly selector: readonly Selector[] };
}

export interface AnnotationPage {
  readonly '@context': typeof context;
  readonly id: string;
  readonly type: 'AnnotationPage';
  readonly items: readonly Annotation[];
}

/**
 * One page of annotations in the list's order, each followed by its replies. `shotId` makes ids of findings
 * unique. The source of a target is the picture's hash as an RFC 6920 name, which any copy of it answers to.
 */
export function annotationPage(shotId: string, rows: readonly FixRow[]): AnnotationPage {
  return {
    '@context': context,
    id: `urn:fairpeg:${encodeURIComponent(shotId)}:fix-list`,
    type: 'AnnotationPage',
    items: rows.flatMap((row) => [annotationOf(shotId, row), ...repliesOf(shotId, row)]),
  };
}

function idOf(shotId: string, row: FixRow): string {
  return `urn:fairpeg:${encodeURIComponent(shotId)}:${encodeURIComponent(row.id)}`;
}

function annotationOf(shotId: string, row: FixRow): Annotation {
  const tags = [row.about, ...row.drawings.map((label) => `drawing ${label}`), ...row.notation.beside];
  return {
    id: idOf(shotId, row),
    type: 'Annotation',
    motivation: row.source === 'note' ? 'editing' : 'assessing',
    creator:
      row.source === 'note' ? { type: 'Person', name: row.who } : { type: 'Software', name: 'Fairpeg' },
    ...(row.whenMs === undefined ? {} : { created: new Date(row.whenMs).toISOString() }),
    body: [
      textual(row.text, 'commenting'),
      ...tags.map((tag) => textual(tag, 'tagging')),
      textual(row.state, 'classifying'),
    ],
    target: {
      source: row.image === undefined ? `urn:fairpeg:${encodeURIComponent(shotId)}` : sourceOf(row.image),
      selector: [...svgSelector(row), fragmentSelector(row)],
    },
  };
}

function repliesOf(shotId: string, row: FixRow): Annotation[] {
  return row.replies.map(({ who, whenMs, text }, index) => ({
    id: `${idOf(shotId, row)}:reply-${index + 1}`,
    type: 'Annotation',
    motivation: 'replying',
    creator: { type: 'Person', name: who },
    created: new Date(whenMs).toISOString(),
    body: [textual(text, 'replying')],
    target: idOf(shotId, row),
  }));
}

function textual(value: string, purpose: TextualBody['purpose']): TextualBody {
  return { type: 'TextualBody', value, format: 'text/plain', purpose };
}

/** RFC 6920, section 3: the digest in base64url without padding. */
function sourceOf(sha256: string): string {
  const bytes = sha256.match(/../g)?.map((pair) => String.fromCharCode(Number.parseInt(pair, 16))) ?? [];
  return `ni:///sha-256;${btoa(bytes.join('')).replaceAll('+', '-').replaceAll('/', '_').replace(/=+$/, '')}`;
}

function fragmentSelector({ box: [x, y, width, height] }: FixRow): Selector {
  const [left, top] = [Math.max(0, Math.floor(x)), Math.max(0, Math.floor(y))];
  const right = Math.max(left + 1, Math.ceil(x + width));
  const bottom = Math.max(top + 1, Math.ceil(y + height));
  const value = `xywh=pixel:${left},${top},${right - left},${bottom - top}`;
  return { type: 'FragmentSelector', conformsTo: mediaFragments, value };
}

function svgSelector({ strokes, sizePx: [width, height] }: FixRow): Selector[] {
  if (strokes.length === 0) return [];
  const value =
    `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" viewBox="0 0 ${width} ${height}">` +
    `${strokes.map(svgPath).join('')}</svg>`;
  return [{ type: 'SvgSelector', value }];
}

/** One path a stroke, to a tenth of a pixel. Attributes only: the model allows neither style nor script. */
function svgPath({ points, widthPx, colour }: Stroke): string {
  const at = (i: number): string => `${tenth(points[i] ?? 0)} ${tenth(points[i + 1] ?? 0)}`;
  const lines = Array.from({ length: Math.max(0, points.length / 3 - 1) }, (_, n) => `L${at(3 * n + 3)}`);
  const d = `M${at(0)}${lines.length > 0 ? lines.join('') : `L${at(0)}`}`;
  return `<path d="${d}" fill="none" stroke="${colour}" stroke-width="${tenth(widthPx)}" stroke-linecap="round" stroke-linejoin="round"/>`;
}

function tenth(value: number): number {
  return Math.round(value * 10) / 10;
}
