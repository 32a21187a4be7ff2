/** Calendar dates as days counted from 1970-01-01, without a clock or a time zone (Gregorian, ISO 8601). */

/** Years are counted from March, so that the leap day is a year's last: month m then begins on this day. */
const firstOfMonth = (m: number): number => Math.floor((153 * m + 2) / 5);
const daysBeforeYear = (year: number): number =>
  365 * year + Math.floor(year / 4) - Math.floor(year / 100) + Math.floor(year / 400);
/** 1970-01-01, counted from 1 March of the year 0. */
const epoch = daysBeforeYear(1969) + firstOfMonth(10);

/** `2026-11-25` as a day; NaN for what is no date. Years 1 to 9999. */
export function dayOfDate(date: string): number {
  const [, year = 0, month = 0, dayOfMonth = 0] = (/^(\d{4})-(\d\d)-(\d\d)$/.exec(date) ?? []).map(Number);
  if (month < 1 || month > 12 || year < 1) return Number.NaN;
  const marchYear = month < 3 ? year - 1 : year;
  const day = daysBeforeYear(marchYear) + firstOfMonth((month + 9) % 12) + dayOfMonth - 1 - epoch;
  // The 31st of a month of thirty days comes back as another date.
  return dateOfDay(day) === date ? day : Number.NaN;
}

export function dateOfDay(day: number): string {
  const count = day + epoch;
  let marchYear = Math.floor(count / 365.2425) + 1;
  while (daysBeforeYear(marchYear) > count) marchYear--;
  const ofYear = count - daysBeforeYear(marchYear);
  const month = Math.floor((5 * ofYear + 2) / 153);
  const dayOfMonth = ofYear - firstOfMonth(month) + 1;
  const written = (value: number, digits: number): string => String(value).padStart(digits, '0');
  const year = month > 9 ? marchYear + 1 : marchYear;
  return `${written(year, 4)}-${written(((month + 2) % 12) + 1, 2)}-${written(dayOfMonth, 2)}`;
}
