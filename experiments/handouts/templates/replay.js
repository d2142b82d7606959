"use strict";
(function () {
  const tape = JSON.parse(document.getElementById("tape").textContent);
  const SVG = "http://www.w3.org/2000/svg";
  const byId = (id) => document.getElementById(id);
  const svg = byId("field");
  const field = tape.field, view = tape.window, last = tape.times.length - 1;
  const end = tape.times[last];
  const place = (x, y) => (tape.upright ? [x, -y] : [y, x]);

  function add(kind, attributes, parent) {
    const node = document.createElementNS(SVG, kind);
    for (const name in attributes) node.setAttribute(name, attributes[name]);
    (parent || svg).appendChild(node);
    return node;
  }
  const points = (list) => list.map((p) => place(p[0], p[1]).map((c) => c.toFixed(3)).join(",")).join(" ");

  // The field: only what lies in the window is seen.
  const a = place(view.left, view.low), b = place(view.right, view.high);
  const left = Math.min(a[0], b[0]), top = Math.min(a[1], b[1]);
  const width = Math.abs(a[0] - b[0]), height = Math.abs(a[1] - b[1]);
  svg.setAttribute("viewBox", [left, top, width, height].join(" "));
  const unit = Math.max(width, height) / 46;  // metres of one text line, so that text keeps its size
  const half = field.half_width, goal = field.length, zone = field.end_zone;
  const box = (low, high) => points([[-half, low], [half, low], [half, high], [-half, high]]);
  add("polygon", { points: box(-zone, 0), fill: "var(--shade)" });
  add("polygon", { points: box(goal, goal + zone), fill: "var(--shade)" });
  add("polygon", { points: box(-zone, goal + zone), fill: "none", stroke: "var(--ink)", "stroke-width": 0.22 });
  for (const y of [0, goal]) {
    const p = place(-half, y), q = place(half, y);
    add("line", { x1: p[0], y1: p[1], x2: q[0], y2: q[1], stroke: "var(--ink)", "stroke-width": 0.14 });
  }
  for (const brick of field.bricks) {
    const c = place(brick[0], brick[1]), s = 0.5;
    const d = `M${c[0] - s} ${c[1] - s} l${2 * s} ${2 * s} M${c[0] - s} ${c[1] + s} l${2 * s} ${-2 * s}`;
    add("path", { d: d, stroke: "var(--lines)", "stroke-width": 0.12 });
  }
  const defs = add("defs", {});
  const hatch = add("pattern", { id: "hatch", width: 0.8, height: 0.8, patternUnits: "userSpaceOnUse", patternTransform: "rotate(30)" }, defs);
  add("line", { x1: 0, y1: 0, x2: 0, y2: 0.8, stroke: "var(--covered)", "stroke-width": 0.26 }, hatch);

  // What moves.
  const sector = add("polygon", { id: "sector", fill: "url(#hatch)" });
  const trails = add("g", { id: "trails", fill: "none" });
  const people = add("g", { id: "people" });
  const shadow = add("ellipse", { id: "shadow", fill: "#000", opacity: 0.25 });
  const disc = add("circle", { id: "disc", fill: "#fff", stroke: "var(--ink)", "stroke-width": 0.24 });
  const labels = add("g", { id: "labels" });
  const ring = add("circle", { id: "ring", r: 1.15 * unit, fill: "none", stroke: "var(--ink)", "stroke-width": 0.24 });
  const mark = add("path", { id: "end", fill: "none", stroke: "var(--ink)", "stroke-width": 0.3 });
  const high = add("text", { id: "height", "font-size": 0.95 * unit, "font-weight": "bold" });
  const players = tape.players.map((player) => {
    const ours = player.team === "offence";
    const colour = ours ? "var(--offence)" : "var(--defence)";
    const trail = add("polyline", { stroke: colour, "stroke-width": 0.2, "stroke-opacity": 0.75,
      "stroke-dasharray": ours ? "none" : "0.7 0.45" }, trails);
    const group = add("g", { "data-name": player.name, "data-team": player.team }, people);
    const s = 0.48 * unit;
    if (ours) add("circle", { r: s, fill: colour, stroke: "#fff", "stroke-width": 0.1 }, group);
    else add("path", { d: `M0 ${-1.15 * s} L${1.1 * s} ${0.8 * s} L${-1.1 * s} ${0.8 * s} Z`,
      fill: colour, stroke: "#fff", "stroke-width": 0.1 }, group);
    const label = add("text", { y: 1.5 * unit, "font-size": 0.85 * unit, "text-anchor": "middle",
      "paint-order": "stroke", stroke: "#fff", "stroke-width": 0.25 }, labels);
    if (ours) label.textContent = player.name;
    return { player: player, group: group, trail: trail, label: label };
  });

  const slider = byId("slider");
  slider.max = end;
  let now = 0, playing = false, before = 0;

  function frameAt(time) {
    let low = 0, up = last;
    while (low < up) {
      const middle = (low + up + 1) >> 1;
      if (tape.times[middle] <= time + 1e-9) low = middle; else up = middle - 1;
    }
    return low;
  }
  const between = (p, q, share) => p + (q - p) * share;

  function show(time) {
    now = Math.min(Math.max(time, 0), end);
    const i = frameAt(now), j = Math.min(i + 1, last);
    const gap = tape.times[j] - tape.times[i];
    const share = gap > 0 ? (now - tape.times[i]) / gap : 0;
    const since = frameAt(now - tape.trail);
    for (const one of players) {
      const path = one.player.path;
      const x = between(path[i][0], path[j][0], share), y = between(path[i][1], path[j][1], share);
      const c = place(x, y);
      one.group.setAttribute("transform", `translate(${c[0].toFixed(3)} ${c[1].toFixed(3)})`);
      one.label.setAttribute("transform", one.group.getAttribute("transform"));
      one.trail.setAttribute("points", points(path.slice(since, i + 1).concat([[x, y]])));
    }
    const d = [0, 1, 2].map((k) => between(tape.disc[i][k], tape.disc[j][k], share));
    const holder = tape.holder[i], flying = holder < 0;
    const at = place(d[0], d[1]), size = (0.28 + 0.07 * d[2]) * unit;
    disc.setAttribute("cx", at[0]); disc.setAttribute("cy", at[1]); disc.setAttribute("r", size);
    shadow.setAttribute("cx", at[0] + 0.35 * d[2]); shadow.setAttribute("cy", at[1] + 0.35 * d[2]);
    shadow.setAttribute("rx", 0.3 * unit); shadow.setAttribute("ry", 0.2 * unit);
    shadow.style.display = flying ? "" : "none";
    high.textContent = flying && d[2] > 0 ? `${(d[2] * tape.per_metre).toFixed(1)} ${tape.units}` : "";
    const right = at[0] < left + width - 4 * unit;
    high.setAttribute("text-anchor", right ? "start" : "end");
    high.setAttribute("x", at[0] + (right ? 0.8 : -0.8) * unit); high.setAttribute("y", at[1] - 0.5 * unit);
    // A ring alone, or with a cross in it: brick marks are crosses without a ring.
    const over = now >= end - 1e-9, c = 0.8 * unit;
    ring.style.display = over && tape.end ? "" : "none";
    ring.setAttribute("cx", at[0]); ring.setAttribute("cy", at[1]);
    mark.style.display = over && tape.end === "lost" ? "" : "none";
    mark.setAttribute("d", `M${at[0] - c} ${at[1] - c} l${2 * c} ${2 * c} M${at[0] - c} ${at[1] + c} l${2 * c} ${-2 * c}`);
    const reach = tape.reach[i];
    if (!flying && tape.mark[i] >= 0 && reach) {
      const from = players[holder].player.path[i], outline = [from];
      for (let k = 0; k <= 24; k++) {
        const bearing = between(reach[0], reach[1], k / 24);
        outline.push([from[0] + 5 * Math.sin(bearing), from[1] + 5 * Math.cos(bearing)]);
      }
      sector.setAttribute("points", points(outline));
      sector.style.display = "";
    } else {
      sector.style.display = "none";
    }
    const count = Math.floor(tape.count[i] + 1e-9);
    byId("stall").textContent = flying || count < 1 ? "-" : String(count);
    byId("time").textContent = `${now.toFixed(2)} s`;
    byId("holder").textContent = !flying ? players[holder].player.name : over && tape.end ? tape.end : "in the air";
    byId("outcome").hidden = !over;
    slider.value = now;
  }

  // Timers rather than animation frames: 40 pictures a second are plenty, and they also run where
  // no frame is ever painted.
  const wait = () => setTimeout(tick, 25);
  function tick() {
    if (!playing) return;
    const stamp = performance.now();
    show(now + ((stamp - before) / 1000) * Number(byId("speed").value));
    if (now >= end) { stop(); return; }
    before = stamp;
    wait();
  }
  function start() {
    if (now >= end) show(0);
    playing = true; before = performance.now();
    byId("play").textContent = "Pause";
    wait();
  }
  function stop() {
    playing = false;
    byId("play").textContent = "Play";
  }
  function step(by) {
    stop();
    const i = frameAt(now);
    // From between two instants, a step back leads to the earlier of them.
    const back = by < 0 && now > tape.times[i] + 1e-9 ? 0 : by;
    show(tape.times[Math.min(Math.max(i + back, 0), last)]);
  }

  byId("play").addEventListener("click", () => (playing ? stop() : start()));
  byId("back").addEventListener("click", () => step(-1));
  byId("forward").addEventListener("click", () => step(1));
  slider.addEventListener("input", () => { stop(); show(Number(slider.value)); });
  byId("names").addEventListener("change", (event) => {
    for (const one of players) one.label.style.display = event.target.checked ? "" : "none";
  });
  document.addEventListener("keydown", (event) => {
    if (["SELECT", "INPUT", "BUTTON"].includes(event.target.tagName)) return;
    if (event.key === " ") { event.preventDefault(); if (playing) stop(); else start(); }
    if (event.key === "ArrowLeft") step(-1);
    if (event.key === "ArrowRight") step(1);
  });
  show(0);
})();
