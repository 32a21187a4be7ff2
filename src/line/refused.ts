/** A measure that was not made, and why, in words for the artist. */
export interface Refused {
  readonly refused: string;
}

export function isRefused(measure: object): measure is Refused {
  return 'refused' in measure;
}
