/** One measured figure. */
export interface Row {
  readonly name: string;
  readonly value: number;
  /** `×` for a ratio to the reference in the same run. */
  readonly unit: string;
  /** Absent where a figure is only told. */
  readonly limit?: number;
  /** The limit is a floor (a rate, a share), not a ceiling. */
  readonly atLeast?: boolean;
}

export const isOver = ({ value, limit, atLeast }: Row): boolean =>
  Number.isNaN(value) || (limit !== undefined && (atLeast === true ? value < limit : value > limit));
