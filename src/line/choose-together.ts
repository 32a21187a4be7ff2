/** One of the things a node may be, and what that costs by itself. */
export interface Choice<T> {
  readonly is: T;
  readonly cost: number;
}

const ROUNDS = 12;
/** Share of the old message kept: without it two halves may trade places for ever. */
const DAMPING = 0.4;

/**
 * One choice for each node, so that its own cost and what its neighbours' choices add are small together: messages
 * passed along the edges, smallest sums (loopy belief propagation, Felzenszwalb & Huttenlocher 2006). `between` is
 * symmetric. Not always the least of all, but far better than each for itself.
 */
export function chooseTogether<T>(
  choices: readonly (readonly Choice<T>[])[],
  neighbours: readonly (readonly number[])[],
  between: (node: number, own: T, neighbour: number, other: T) => number,
): T[] {
  const edges = neighbours.flatMap((near, k) =>
    near.map((n) => ({
      from: k,
      to: n,
      back: -1,
      // What the receiver's choices cost given the sender's, receiver by sender.
      costs: choices[n]!.map((other) =>
        Float32Array.from(choices[k]!, (own) => between(k, own.is, n, other.is)),
      ),
      says: new Float32Array(choices[n]!.length),
    })),
  );
  const at = new Map(edges.map(({ from, to }, e) => [`${from}:${to}`, e]));
  for (const edge of edges) edge.back = at.get(`${edge.to}:${edge.from}`)!;
  const beliefs = choices.map((own) => Float32Array.from(own, ({ cost }) => cost));
  for (let round = 0; round < ROUNDS; round++) {
    for (const edge of edges) {
      const belief = beliefs[edge.from]!;
      const back = edges[edge.back]!.says;
      const said = edge.costs.map((costs) => {
        let least = Infinity;
        for (let k = 0; k < costs.length; k++) least = Math.min(least, belief[k]! - back[k]! + costs[k]!);
        return least;
      });
      const floor = Math.min(...said);
      const hears = beliefs[edge.to]!;
      for (let k = 0; k < said.length; k++) {
        const next = DAMPING * edge.says[k]! + (1 - DAMPING) * (said[k]! - floor);
        hears[k]! += next - edge.says[k]!;
        edge.says[k] = next;
      }
    }
  }
  return choices.map((own, k) => {
    const belief = beliefs[k]!;
    let best = 0;
    for (let q = 1; q < belief.length; q++) if (belief[q]! < belief[best]!) best = q;
    return own[best]!.is;
  });
}
