// `workbench bench net`, run by node: our WebAssembly, plain JavaScript and d3-geo do the same in turn.
// Prints a line for each way: task, way, median milliseconds, answer.
const { pathToFileURL } = require('url');
const [, d3, many, spread, nodes, k, rounds, few] = process.argv.slice(1).map((w) => (isNaN(w) ? w : Number(w)));

// As `axis` in trial/net.rs.
function columns(count) {
  const [north, east, down] = [0, 1, 2].map(() => new Float64Array(count));
  for (let i = 0; i < count; i++) {
    const place = (i * 7919) % count;
    const d = 1 - (2 * (place + 0.5)) / count;
    const level = Math.sqrt(1 - d * d);
    const turn = place * 2.399963229728653;
    const [n, e] = [level * Math.cos(turn), 0.4 * level * Math.sin(turn)];
    const length = Math.hypot(n, e, d);
    [north[i], east[i], down[i]] = [n / length, e / length, d / length];
  }
  return { north, east, down };
}

const all = columns(many);
const x = new Float64Array(many), y = new Float64Array(many);
const allSingle = Object.fromEntries(Object.entries(all).map(([part, column]) => [part, new Float32Array(column)]));
const xSingle = new Float32Array(many), ySingle = new Float32Array(many);
const third = Math.floor(many / 3), twoThirds = Math.floor((2 * many) / 3);

// node compiles one and the same loop now well, now five times as slow, by how it was met first: at its full length, often with a
// hundred axes, or with its columns bound to it. Each plain way is compiled in all three forms, and the quickest counts.
const forms = (body, Column, { north, east, down }, x, y) => {
  const names = ['north', 'east', 'down', 'x', 'y'];
  const [cold, warm] = [0, 1].map(() => new Function(...names, body));
  const short = ['north', 'east', 'down'].map((part) => new Column(columns(100)[part]));
  for (let i = 0; i < 5000; i++) warm(...short, new Column(100), new Column(100));
  const bound = new Function(...names, `return () => { ${body} }`)(north, east, down, x, y);
  return [() => cold(north, east, down, x, y), () => warm(north, east, down, x, y), bound];
};

const PROJECT = `
  const count = north.length;
  for (let i = 0; i < count; i++) {
    const d = down[i];
    let scale = 1 / Math.sqrt(1 + Math.abs(d));
    if (d < 0) scale = -scale;
    x[i] = east[i] * scale;
    y[i] = north[i] * scale;
  }
  return x[Math.floor(count / 3)] + y[Math.floor((2 * count) / 3)];`;
const projectColumns = forms(PROJECT, Float64Array, all, x, y);
const projectSingle = forms(PROJECT, Float32Array, allSingle, xSingle, ySingle);

const SUMS = `
  const count = north.length;
  let nn = 0, ne = 0, nd = 0, ee = 0, ed = 0, dd = 0;
  for (let i = 0; i < count; i++) {
    const n = north[i], e = east[i], d = down[i];
    nn += n * n; ne += n * e; nd += n * d; ee += e * e; ed += e * d; dd += d * d;
  }
  return [nn, ne, nd, ee, ed, dd];`;
const principal = (sums) => () => {
  const [nn, ne, nd, ee, ed, dd] = sums();
  const a = [[nn, ne, nd], [ne, ee, ed], [nd, ed, dd]].map((row) => row.map((v) => v / many));
  const v = [[1, 0, 0], [0, 1, 0], [0, 0, 1]];
  // Jacobi's rotations.
  for (let sweep = 0; sweep < 30; sweep++) {
    if (Math.abs(a[0][1]) + Math.abs(a[0][2]) + Math.abs(a[1][2]) < 1e-15) break;
    for (const [p, q] of [[0, 1], [0, 2], [1, 2]]) {
      if (a[p][q] === 0) continue;
      const theta = (a[q][q] - a[p][p]) / (2 * a[p][q]);
      const t = Math.sign(theta || 1) / (Math.abs(theta) + Math.sqrt(theta * theta + 1));
      const c = 1 / Math.sqrt(t * t + 1), s = t * c;
      for (let i = 0; i < 3; i++) [a[i][p], a[i][q]] = [c * a[i][p] - s * a[i][q], s * a[i][p] + c * a[i][q]];
      for (let i = 0; i < 3; i++) [a[p][i], a[q][i]] = [c * a[p][i] - s * a[q][i], s * a[p][i] + c * a[q][i]];
      for (let i = 0; i < 3; i++) [v[i][p], v[i][q]] = [c * v[i][p] - s * v[i][q], s * v[i][p] + c * v[i][q]];
    }
  }
  const values = [0, 1, 2].map((i) => a[i][i]).sort((one, other) => other - one);
  return values[0] - values[2];
};
const tensor = forms(SUMS, Float64Array, all).map(principal);
const tensorSingle = forms(SUMS, Float32Array, allSingle).map(principal);

const some = columns(spread);
const mean = -Math.expm1(-k) / k;
const sd = Math.sqrt(spread * (-Math.expm1(-2 * k) / (2 * k) - mean * mean));
const sigmas = (sum) => (sum - spread * mean) / sd;

// Every node on the net, as a direction.
const places = [];
for (let row = 0; row < nodes; row++) {
  for (let column = 0; column < nodes; column++) {
    const [e, n] = [(2 * column) / (nodes - 1) - 1, (2 * row) / (nodes - 1) - 1];
    const square = e * e + n * n;
    if (square > 1) continue;
    const level = Math.sqrt(2 - square);
    places.push([n * level, e * level, 1 - square]);
  }
}

function densityOfPairs() {
  const { north, east, down } = some;
  let peak = -Infinity;
  for (const [n, e, d] of places) {
    let sum = 0;
    for (let i = 0; i < spread; i++) {
      sum += Math.exp(k * (Math.abs(n * north[i] + e * east[i] + d * down[i]) - 1));
    }
    peak = Math.max(peak, sigmas(sum));
  }
  return peak;
}

function densityOfCells() {
  const CELLS = 96, least = 1 - 14 / k, reach = Math.acos(least);
  const columnOf = (place) => Math.min(CELLS - 1, Math.max(0, Math.floor(((place + 1) / 2) * CELLS)));
  const { north, east, down } = some;
  const sums = [0, 1, 2, 3].map(() => new Float64Array(CELLS * CELLS));
  for (let i = 0; i < spread; i++) {
    const end = down[i] < 0 ? -1 : 1;
    const scale = end / Math.sqrt(1 + Math.abs(down[i]));
    const cell = columnOf(north[i] * scale) * CELLS + columnOf(east[i] * scale);
    sums[0][cell] += end * north[i];
    sums[1][cell] += end * east[i];
    sums[2][cell] += end * down[i];
    sums[3][cell] += 1;
  }
  const [cn, ce, cd, weight] = sums;
  for (let cell = 0; cell < CELLS * CELLS; cell++) {
    const length = Math.hypot(cn[cell], ce[cell], cd[cell]) || 1;
    cn[cell] /= length; ce[cell] /= length; cd[cell] /= length;
  }
  const box = (n, e, d, wide) => {
    const scale = 1 / Math.sqrt(1 + d);
    const [middleEast, middleNorth] = [e * scale, n * scale];
    const [west, right] = [columnOf(middleEast - wide), columnOf(middleEast + wide)];
    const top = columnOf(middleNorth + wide);
    let sum = 0;
    for (let row = columnOf(middleNorth - wide); row <= top; row++) {
      for (let cell = row * CELLS + west; cell <= row * CELLS + right; cell++) {
        if (weight[cell] === 0) continue;
        const cosine = n * cn[cell] + e * ce[cell] + d * cd[cell];
        if (cosine > least) sum += weight[cell] * Math.exp(k * (cosine - 1));
      }
    }
    return sum;
  };
  const beyond = Math.sin(reach);
  let peak = -Infinity;
  for (const [n, e, d] of places) {
    let sum = box(n, e, d, reach);
    if (d < beyond) sum += box(-n, -e, -d, reach / Math.sqrt(1 - beyond));
    peak = Math.max(peak, sigmas(sum));
  }
  return peak;
}

(async () => {
  const geo = await import(pathToFileURL(d3));
  // The lower end of every axis, as longitude and latitude about the middle of the net.
  const longitude = new Float64Array(many), latitude = new Float64Array(many);
  for (let i = 0; i < many; i++) {
    const end = all.down[i] < 0 ? -1 : 1;
    longitude[i] = Math.atan2(end * all.east[i], end * all.down[i]);
    latitude[i] = Math.asin(end * all.north[i]);
  }
  const raw = geo.geoAzimuthalEqualAreaRaw;
  const whole = geo.geoAzimuthalEqualArea().scale(Math.SQRT1_2).translate([0, 0]);
  const toDegrees = 180 / Math.PI;
  const d3Raw = () => {
    for (let i = 0; i < many; i++) {
      const place = raw(longitude[i], latitude[i]);
      x[i] = place[0] * Math.SQRT1_2;
      y[i] = place[1] * Math.SQRT1_2;
    }
    return x[third] + y[twoThirds];
  };
  const d3Whole = () => {
    for (let i = 0; i < many; i++) {
      const place = whole([longitude[i] * toDegrees, latitude[i] * toDegrees]);
      x[i] = place[0];
      y[i] = -place[1];
    }
    return x[third] + y[twoThirds];
  };
  // Task, way, its work in one form or more, and whether it is so slow that a few rounds must do.
  const ways = [
    ['project', 'ours', [() => machine.net(0)], false],
    ['project', 'columns', projectColumns, false],
    ['project', 'single', projectSingle, false],
    ['project', 'd3-raw', [d3Raw], true],
    ['project', 'd3-whole', [d3Whole], true],
    ['tensor', 'ours', [() => machine.net(1)], false],
    ['tensor', 'columns', tensor, false],
    ['tensor', 'single', tensorSingle, false],
    ['density', 'ours', [() => machine.net(2)], false],
    ['density', 'cells', [densityOfCells], false],
    ['density', 'pairs', [densityOfPairs], true],
  ].flatMap(([task, way, forms, slow]) => forms.map((work) => ({ task, way, work, slow, times: [], answer: NaN })));
  // The first rounds compile; they are left out.
  const warming = 4;
  for (let round = 0; round < rounds + warming; round++) {
    for (const one of ways) {
      if (one.slow && round >= few + 1) continue;
      const started = process.hrtime.bigint();
      one.answer = one.work();
      const took = Number(process.hrtime.bigint() - started) / 1e6;
      if (round >= (one.slow ? 1 : warming)) one.times.push(took);
    }
  }
  const middle = (times) => times.sort((a, b) => a - b)[times.length >> 1];
  const best = new Map();
  for (const { task, way, times, answer } of ways) {
    const [name, took] = [`${task} ${way}`, middle(times)];
    if (!(best.get(name)?.took <= took)) best.set(name, { took, answer });
  }
  for (const [name, { took, answer }] of best) console.log(name, took, answer);
  console.log('version', process.version, 0, 0);
})();
