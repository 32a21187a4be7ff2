/** What a page's main thread costs. */
import type { Page } from 'playwright';

/**
 * Reads the main thread's processor time, ms: `TaskDuration` in thread time, so that a busy machine does not count.
 * One meter a page, as each counts from its own beginning.
 */
export async function mainThreadMeter(page: Page): Promise<() => Promise<number>> {
  const session = await page.context().newCDPSession(page);
  await session.send('Performance.enable', { timeDomain: 'threadTicks' });
  return async () => {
    const { metrics } = await session.send('Performance.getMetrics');
    return (metrics.find(({ name }) => name === 'TaskDuration')?.value ?? Number.NaN) * 1000;
  };
}
