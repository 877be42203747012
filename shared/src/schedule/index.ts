/** The day as planned, as it went, and when it will end. */
export { type Break, endOfWork, type Hours, hoursOf, momentOf, workedMinutes, zoneOf } from './clock.ts';
export { type Candidate, type Dropping, dropsOfDay, whatToDrop } from './drop.ts';
export { type Forecast, forecastDay, forecastOf, type Rest, restOfDay, type Span } from './forecast.ts';
export { learn, NO_EXPERIENCE, type Pace, paceOf, ratiosOf, usualRatio } from './pace.ts';
export { plannedDay, type Slot, setupsOfDay } from './timeline.ts';
