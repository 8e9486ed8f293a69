/** Draws every chart of a series that the page holds. */

import { SeriesChart } from './series_chart.js';

for (const figure of document.querySelectorAll('[data-series]')) {
  new SeriesChart(/** @type {HTMLElement} */ (figure)).show();
}
