import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { areaPx2, dist, type Pt } from '../../../sample-shots/paper/geometry.ts';
import { type Run, visibleRuns } from '../../../sample-shots/paper/scene.ts';
import { type Posed, poseAll } from '../../../sample-shots/paper/timing.ts';
import type { PlantedFault } from '../../../sample-shots/planted.ts';
import { posesOf, SHOTS, sampleFiles, shotJson } from '../../../sample-shots/shots.ts';
import { WENNA_TIMING } from '../../../sample-shots/wenna/acting.ts';
import { drawWenna, type Landmarks, landmarks } from '../../../sample-shots/wenna/figure.ts';
import type { Pose } from '../../../sample-shots/wenna/pose.ts';

const folder = join(dirname(fileURLToPath(import.meta.url)), '../../../sample-shots');
const read = (path: string): string => readFileSync(join(folder, path), 'utf8');
const planted = JSON.parse(read('planted-faults.json')) as {
  faults: PlantedFault[];
  faultless: { shot: string; level: string; drawing: string }[];
};
const levels = SHOTS.flatMap((shot) => shot.levels.map((level) => ({ shot, level })));
const isPlanted = (shot: string, level: string, label: string): boolean =>
  planted.faults.some((f) => f.shot === shot && f.level === level && f.drawing === label);

describe('shot.json of the sample shots', () => {
  it.each(SHOTS)('is what the program writes: $folder', (shot) => {
    expect(JSON.parse(read(`${shot.folder}/shot.json`))).toEqual(shotJson(shot));
  });

  it.each(levels)(
    'names drawings once, charts between drawings that exist, in order: $level.name',
    ({ level }) => {
      const labels = level.timing.map((d) => d.label);
      expect(new Set(labels).size).toBe(labels.length);
      for (const d of level.timing) {
        if (d.role === 'key') continue;
        const [from, to] = [Number(d.chart.from), Number(d.chart.to)];
        expect(labels).toContain(d.chart.from);
        expect(labels).toContain(d.chart.to);
        expect(from).toBeLessThan(Number(d.label));
        expect(to).toBeGreaterThan(Number(d.label));
      }
    },
  );

  it.each(levels)('exposes each drawing from its own frame to the next: $level.name', ({ level }) => {
    level.timing.forEach((d, i) => {
      const next = level.timing[i + 1];
      if (next) expect(Number(d.label) + d.length).toBe(Number(next.label));
    });
  });

  it('has at least 17 drawings of the character, on ones and twos, on halves and on thirds', () => {
    expect(WENNA_TIMING.length).toBeGreaterThanOrEqual(17);
    expect(new Set(WENNA_TIMING.map((d) => d.length))).toEqual(new Set([1, 2, 3, 4, 9]));
    const fractions = WENNA_TIMING.flatMap((d) => (d.role === 'inbetween' ? [d.chart.fraction] : []));
    for (const fraction of [1 / 3, 1 / 2, 2 / 3]) expect(fractions).toContain(fraction);
  });
});

describe('the files', () => {
  it.each(levels)(
    'are PNG pictures of the stated size, rough and clean of each drawing: $level.name',
    async ({ shot, level }) => {
      const at = level.name ? `${shot.folder}/${level.name}` : shot.folder;
      const names = level.timing.map((d) => `${d.label.padStart(4, '0')}.png`);
      for (const layer of ['rough', 'clean'])
        expect(readdirSync(join(folder, at, layer)).sort()).toEqual(names.toSorted());
      for (const layer of ['rough', 'clean']) {
        const { info, data } = await sharp(join(folder, at, layer, names[0]!))
          .raw()
          .toBuffer({ resolveWithObject: true });
        expect([info.width, info.height]).toEqual([shot.sheet.width, shot.sheet.height]);
        expect(info.channels === 2 || info.channels === 4).toBe(layer === 'clean' && shot.transparent);
        expect(new Set(data).size).toBeGreaterThan(16);
      }
    },
  );

  it('are the bytes that the program draws', () => {
    const some = ['wenna-hears-the-ferry/clean/0013.png', 'kite-takes-a-gust/kite/rough/0007.png'];
    const drawn = [...sampleFiles((path) => some.includes(path))].filter((f) => some.includes(f.path));
    expect(drawn.map((f) => f.path)).toEqual(some);
    for (const { path, bytes } of drawn)
      expect(Buffer.compare(readFileSync(join(folder, path)), bytes)).toBe(0);
  });
});

/** t of the point C along A→B (as in checks.md, one point): 0 at A, 1 at B. */
const along = (a: Pt, b: Pt, c: Pt): number =>
  ((c[0] - a[0]) * (b[0] - a[0]) + (c[1] - a[1]) * (b[1] - a[1])) / dist(a, b) ** 2;

describe('in-betweens', () => {
  const posed = new Map((posesOf(SHOTS[0]!.levels[0]!) as Posed<Pose>[]).map((d) => [d.label, d]));
  const offChart = planted.faults.filter((f) => f.check === 'spacing').map((f) => f.drawing);
  const charted = WENNA_TIMING.flatMap((d) => (d.role === 'inbetween' ? [d] : []));

  it.each(charted)('lie where their chart says, but for the planted: $label', ({ label, chart }) => {
    const [a, b, c] = [chart.from, chart.to, label].map((l) => landmarks(posed.get(l)!.pose));
    const off: string[] = [];
    for (const part of Object.keys(a!) as (keyof Landmarks)[]) {
      const [pa, pb, pc] = [a![part], b![part], c![part]];
      // Below 20 px of travel a place on the way means little; an arc bends the reading along its chord a little.
      if (dist(pa, pb) > 20 && Math.abs(along(pa, pb, pc) - chart.fraction) > 0.02) off.push(part);
    }
    if (label === '35') expect(off).toEqual(['wristRight']);
    else if (offChart.includes(label)) expect(off).toEqual(expect.arrayContaining(['head', 'neck']));
    else expect(off).toEqual([]);
  });
});

describe('the line', () => {
  const toSegment = (p: Pt, a: Pt, b: Pt): number => {
    const l2 = dist(a, b) ** 2 || 1e-9;
    const t = Math.min(1, Math.max(0, ((p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])) / l2));
    return dist(p, [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]);
  };
  const gapFrom = (p: Pt, own: Run, end: 0 | 1, runs: readonly Run[]): number => {
    let nearest = Infinity;
    for (const other of runs) {
      const path = other.closed ? [...other.path, other.path[0]!] : other.path;
      for (let i = 1; i < path.length; i++) {
        if (other === own && (end === 0 ? i : path.length - i) < 8) continue;
        nearest = Math.min(nearest, toSegment(p, path[i - 1]!, path[i]!));
      }
    }
    return nearest;
  };

  it.each(levels)('ends on another line wherever it does not thin out: $level.name', ({ level }) => {
    for (const d of posesOf(level)) {
      const runs = visibleRuns(level.draw(d.pose));
      const open = runs.flatMap((run) =>
        run.closed
          ? []
          : ([0, 1] as const).flatMap((end) => {
              if (run.taper[end]) return [];
              const gap = gapFrom(run.path.at(-end)!, run, end, runs);
              // Both inks reach half a line weight, 2.5 px, so 2 px between middles is covered.
              return gap > 2 ? [`${d.label}: ${run.id} ends ${gap.toFixed(1)} px from any line`] : [];
            }),
      );
      expect(open).toEqual([]);
    }
  });

  it('keeps the volume of the head while it squashes and stretches', () => {
    const areas = poseAll(WENNA_TIMING).map(({ pose }) => {
      const face = drawWenna({ ...pose, yaw: 0, pitch: 0, mouthOpen: 0, squint: 0 }).items.find(
        (i) => i.id === 'face',
      );
      return face?.kind === 'shape' ? areaPx2(face.outline) : 0;
    });
    for (const area of areas) expect(area / areas[0]!).toBeCloseTo(1, 2);
  });
});

describe('planted faults', () => {
  it('lie in drawings that exist, inside the picture', () => {
    for (const fault of planted.faults) {
      const found = levels.find(
        ({ shot, level }) => shot.folder === fault.shot && level.name === fault.level,
      );
      expect(found?.level.timing.map((d) => d.label)).toContain(fault.drawing);
      const { width, height } = found!.shot.sheet;
      const [x, y, w, h] = fault.bbox;
      expect(Math.min(x, y, width - x - w, height - y - h)).toBeGreaterThanOrEqual(0);
      expect(Math.min(w, h, fault.amount)).toBeGreaterThan(0);
    }
  });

  it('cover every kind, and the other drawings are listed as faultless', () => {
    expect(new Set(planted.faults.map((f) => f.check))).toEqual(
      new Set(['weight', 'leaks', 'volume', 'spacing', 'drift', 'specks']),
    );
    const rest = levels.flatMap(({ shot, level }) =>
      level.timing
        .filter((d) => !isPlanted(shot.folder, level.name, d.label))
        .map((d) => ({ shot: shot.folder, level: level.name, drawing: d.label })),
    );
    expect(planted.faultless).toEqual(rest);
  });
});
