const breaks = new Intl.Segmenter(undefined, { granularity: 'word' });
const graphemes = new Intl.Segmenter(undefined, { granularity: 'grapheme' });

/** Lines broken between words, and inside a word only where it alone is wider than the line. */
export async function wrap(
  text: string,
  maxWidth: number,
  widthOf: (text: string) => number | Promise<number>,
): Promise<string[]> {
  const lines: string[] = [];
  for (const paragraph of text.split(/\r\n|\r|\n/)) {
    let line = '';
    const words = [...breaks.segment(paragraph.replaceAll('\t', '  '))].map(({ segment }) => segment);
    for (const word of words) {
      if ((await widthOf(line + word.trimEnd())) <= maxWidth) {
        line += word;
        continue;
      }
      if (line.trim() !== '') lines.push(line.trimEnd());
      line = '';
      if ((await widthOf(word)) <= maxWidth) line = word.trimStart();
      else
        for (const { segment } of graphemes.segment(word)) {
          if (line !== '' && (await widthOf(line + segment)) > maxWidth) {
            lines.push(line);
            line = '';
          }
          line += segment;
        }
    }
    lines.push(line.trimEnd());
  }
  return lines;
}
