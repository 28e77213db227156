// Words for people: times, sizes, numbers of things, an entry in short.
"use strict";
const Said = {
  time: (iso) => new Date(iso).toLocaleString("en-GB", { day: "numeric", month: "short", hour: "2-digit", minute: "2-digit" }).replace(",", ""),
  size(bytes) {
    if (bytes < 2 ** 20) return `${Math.ceil(bytes / 1024)} kB`;
    return bytes < 2 ** 30 ? `${(bytes / 2 ** 20).toFixed(1)} MB` : `${(bytes / 2 ** 30).toFixed(1)} GB`;
  },
  count: (number, one, many = `${one}s`) => `${number} ${number === 1 ? one : many}`,

  age(iso) {
    const minutes = Math.max(0, Math.round((Date.now() - Date.parse(iso)) / 60000));
    if (minutes < 1) return "less than a minute old";
    if (minutes < 120) return `${Said.count(minutes, "minute")} old`;
    return minutes < 2880 ? `${Math.round(minutes / 60)} hours old` : `${Math.round(minutes / 1440)} days old`;
  },

  inShort(entry) {
    const typed = entry.fields.filter(({ hidden, value }) => !hidden && value);
    const [pressed, rest] = [typed.filter(({ fixed }) => fixed), typed.filter(({ fixed }) => !fixed)];
    return [entry.title, ...rest.slice(0, 3).map(Said.field), ...pressed.map(({ shown }) => shown.toLowerCase())].join(", ");
  },

  field({ label, value, choices, tick }) {
    if (tick) return label;
    const shown = choices?.find(([each]) => each === value)?.[1] || value;
    return `${label} ${shown}`;
  },
};
