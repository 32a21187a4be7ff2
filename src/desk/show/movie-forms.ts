/** The writer of movies is fetched when it is first asked for; where it cannot be, there is the moving picture. */
import type { MovieForm } from '../../export/linetest/movie.ts';

/** In which forms this browser can encode frames of that size; edges are made even. */
export async function movieFormsHere(width: number, height: number): Promise<MovieForm[]> {
  if (typeof VideoEncoder === 'undefined') return [];
  const { movieForms } = await import('../../export/linetest/movie.ts');
  return movieForms(width + (width % 2), height + (height % 2));
}
