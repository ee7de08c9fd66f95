// The measuring volume that can be turned. Needs THREE (r111) and WebGL; without them the page keeps
// its three static views. Sensor frame in mm: x right, y down, z away from the rig.
(function () {
  'use strict';
  var scene = JSON.parse(document.getElementById('scene').textContent);
  var holder = document.getElementById('view3d');
  var stage = document.getElementById('stage');
  var readout = document.getElementById('readout');
  var help = readout.textContent;
  var renderer;
  try {
    renderer = new THREE.WebGLRenderer({antialias: true, alpha: true});
  } catch (unavailable) {
    return;
  }
  holder.hidden = false;
  renderer.setPixelRatio(Math.min(window.devicePixelRatio || 1, 2));
  stage.appendChild(renderer.domElement);

  var world = new THREE.Scene();
  var camera = new THREE.PerspectiveCamera(32, 1, scene.reach / 100, scene.reach * 20);
  var middle = new THREE.Vector3();
  var pieces = new THREE.Group(), cloud = null;
  var dark = window.matchMedia('(prefers-color-scheme: dark)');

  // Three's axes: x right, y up, z towards the viewer.
  function place(p) {
    return new THREE.Vector3(p[0] - scene.origin[0], scene.origin[1] - p[1],
                             scene.origin[2] - p[2]);
  }
  function ink(name) {
    return new THREE.Color(getComputedStyle(document.documentElement)
                               .getPropertyValue('--' + name).trim());
  }
  function pieceColor(piece) {
    if (!piece.counts) return ink('no-data');
    if (piece.verdict === 'outside') return ink('failed');
    if (piece.verdict === 'undecided') return ink('second');
    return piece.ratio === null ? ink('quiet')
                                : ink('guard').lerp(ink('mark'), Math.min(1, piece.ratio));
  }
  function segments(points, material) {
    var geometry = new THREE.BufferGeometry().setFromPoints(points);
    return new THREE.LineSegments(geometry, material);
  }
  function addVolume() {
    var c = scene.corners.map(place), edges = [];
    for (var i = 0; i < 8; ++i)
      for (var bit = 1; bit < 8; bit <<= 1)
        if (!(i & bit)) edges.push(c[i], c[i | bit]);
    world.add(segments(edges, new THREE.LineBasicMaterial({color: ink('axis')})));
    var thirds = [];
    function between(a, b, t) { return a.clone().lerp(b, t); }
    [1 / 3, 2 / 3].forEach(function (t) {
      // Thirds of the far face and of the floor, so that zones can be seen.
      thirds.push(between(c[4], c[5], t), between(c[6], c[7], t), between(c[4], c[6], t),
                  between(c[5], c[7], t), between(c[2], c[3], t), between(c[6], c[7], t),
                  between(c[2], c[6], t), between(c[3], c[7], t));
    });
    world.add(segments(thirds, new THREE.LineBasicMaterial({color: ink('grid')})));
  }
  function addPiece(piece) {
    var color = pieceColor(piece), group = new THREE.Group();
    group.userData = piece;
    var solid = new THREE.MeshLambertMaterial({color: color});
    piece.balls.forEach(function (b) {
      var ball = new THREE.Mesh(new THREE.SphereBufferGeometry(piece.radius, 24, 16), solid);
      ball.position.copy(place(b));
      group.add(ball);
    });
    if (piece.balls.length > 1) {
      var a = place(piece.balls[0]), b = place(piece.balls[piece.balls.length - 1]);
      var rod = new THREE.Mesh(
          new THREE.CylinderBufferGeometry(piece.radius / 5, piece.radius / 5, a.distanceTo(b), 12),
          solid);
      rod.position.copy(a).lerp(b, 0.5);
      rod.quaternion.setFromUnitVectors(new THREE.Vector3(0, 1, 0), b.clone().sub(a).normalize());
      group.add(rod);
    }
    if (piece.corners.length === 4) {
      var k = piece.corners.map(place);
      var face = new THREE.BufferGeometry().setFromPoints([k[0], k[1], k[2], k[0], k[2], k[3]]);
      face.computeVertexNormals();
      group.add(new THREE.Mesh(face, new THREE.MeshBasicMaterial({
        color: color, side: THREE.DoubleSide, transparent: true, opacity: 0.25, depthWrite: false
      })));
      group.add(segments([k[0], k[1], k[1], k[2], k[2], k[3], k[3], k[0]],
                         new THREE.LineBasicMaterial({color: color})));
    }
    // A signed error as a post over the piece: up for too long or too large, one third of the
    // volume's reach at twice the limit.
    if (piece.signed !== null) {
      var foot = place(piece.center);
      var top = foot.clone();
      top.y += Math.max(-2, Math.min(2, piece.signed)) * scene.reach / 6;
      group.add(segments([foot, top], new THREE.LineBasicMaterial({color: ink('text')})));
    }
    pieces.add(group);
  }
  // The page's signed scale at −1, 0 and +1.
  var signed = [new THREE.Color('#5a4fae'), new THREE.Color('#f0eee9'), new THREE.Color('#a05a00')];
  function addPoints() {
    var raw = atob(scene.points), n = raw.length / 8;
    if (!n) return;
    var bytes = new Uint8Array(raw.length);
    for (var i = 0; i < raw.length; ++i) bytes[i] = raw.charCodeAt(i);
    var numbers = new Int16Array(bytes.buffer);
    var at = new Float32Array(3 * n), colors = new Float32Array(3 * n);
    for (var p = 0; p < n; ++p) {
      at[3 * p] = numbers[4 * p] * scene.step;
      at[3 * p + 1] = -numbers[4 * p + 1] * scene.step;
      at[3 * p + 2] = -numbers[4 * p + 2] * scene.step;
      var share = Math.max(-1, Math.min(1, numbers[4 * p + 3] / 1000));
      var c = signed[1].clone().lerp(signed[share < 0 ? 0 : 2], Math.abs(share));
      colors[3 * p] = c.r; colors[3 * p + 1] = c.g; colors[3 * p + 2] = c.b;
    }
    var geometry = new THREE.BufferGeometry();
    geometry.setAttribute('position', new THREE.BufferAttribute(at, 3));
    geometry.setAttribute('color', new THREE.BufferAttribute(colors, 3));
    cloud = new THREE.Points(geometry, new THREE.PointsMaterial(
        {size: 2, sizeAttenuation: false, vertexColors: THREE.VertexColors}));
    world.add(cloud);
  }
  var tags = [];
  function addTags() {
    scene.pieces.forEach(function (piece, index) {
      var earlier = scene.pieces.findIndex(function (p) { return p.key === piece.key; });
      if (earlier < index) return;
      var tag = document.createElement('span');
      tag.className = 'tag';
      tag.textContent = piece.key;
      stage.appendChild(tag);
      tags.push({element: tag, at: place(piece.center), key: piece.key});
    });
  }

  var views = {oblique: [-0.55, 0.42], front: [0, 0], top: [0, Math.PI / 2 - 1e-3],
               side: [Math.PI / 2, 0]};
  var turn = views.oblique[0], tilt = views.oblique[1], distance = scene.reach * 1.7;
  var shownKey = null, wanted = false, labels = true;

  function draw() {
    wanted = false;
    camera.position.set(Math.sin(turn) * Math.cos(tilt), Math.sin(tilt),
                        Math.cos(turn) * Math.cos(tilt)).multiplyScalar(distance);
    camera.up.set(0, 1, 0);
    camera.lookAt(middle);
    renderer.render(world, camera);
    placeTags();
  }
  function placeTags() {
    var w = stage.clientWidth, h = stage.clientHeight, taken = [];
    tags.slice().sort(function (a, b) { return (b.key === shownKey) - (a.key === shownKey); })
        .forEach(function (tag) {
          var p = tag.at.clone().project(camera);
          var x = (p.x + 1) / 2 * w + 6, y = (1 - p.y) / 2 * h - 6;
          var box = [x, y, x + 30, y + 15];
          var free = !taken.some(function (t) {
            return box[0] < t[2] && t[0] < box[2] && box[1] < t[3] && t[1] < box[3];
          });
          var visible = p.z < 1 && (tag.key === shownKey || (labels && free));
          if (visible) taken.push(box);
          tag.element.hidden = !visible;
          tag.element.classList.toggle('on', tag.key === shownKey);
          tag.element.style.transform = 'translate(' + x.toFixed(1) + 'px,' + y.toFixed(1) + 'px)';
        });
  }
  function redraw() {
    if (wanted) return;
    wanted = true;
    requestAnimationFrame(draw);
  }
  function resize() {
    renderer.setSize(stage.clientWidth, stage.clientHeight, false);
    camera.aspect = stage.clientWidth / Math.max(1, stage.clientHeight);
    camera.updateProjectionMatrix();
    redraw();
  }
  function look(name) {
    turn = views[name][0];
    tilt = views[name][1];
    redraw();
  }
  function rotate(dx, dy) {
    turn -= dx;
    tilt = Math.max(-Math.PI / 2 + 1e-3, Math.min(Math.PI / 2 - 1e-3, tilt + dy));
    redraw();
  }
  function zoom(factor) {
    distance = Math.max(scene.reach * 0.4, Math.min(scene.reach * 6, distance * factor));
    redraw();
  }
  function highlight(key) {
    shownKey = key;
    var words = help;
    pieces.children.forEach(function (group) {
      var on = group.userData.key === key;
      if (on) words = group.userData.words;
      group.traverse(function (o) {
        if (o.material && o.material.emissive)
          o.material.emissive.set(on ? ink('focus') : new THREE.Color(0));
      });
    });
    readout.textContent = words;
    redraw();
  }

  var ray = new THREE.Raycaster();
  function pieceAt(event) {
    var box = renderer.domElement.getBoundingClientRect();
    ray.setFromCamera(new THREE.Vector2((event.clientX - box.left) / box.width * 2 - 1,
                                        1 - (event.clientY - box.top) / box.height * 2), camera);
    var hits = ray.intersectObjects(pieces.children, true).filter(function (hit) {
      return hit.object.isMesh;
    });
    // Solid bodies before the thin faces of plates.
    hits.sort(function (a, b) {
      return (a.object.material.transparent - b.object.material.transparent) ||
             a.distance - b.distance;
    });
    return hits.length ? hits[0].object.parent.userData.key : null;
  }
  var drag = null, moved = 0, touches = new Map();
  stage.addEventListener('pointerdown', function (event) {
    touches.set(event.pointerId, event);
    drag = event;
    moved = 0;
    stage.setPointerCapture(event.pointerId);
  });
  stage.addEventListener('pointermove', function (event) {
    if (!drag) { window.positions.show(pieceAt(event) || window.positions.kept()); return; }
    if (touches.size === 2) {
      var other = Array.from(touches.values()).find(function (t) {
        return t.pointerId !== event.pointerId;
      });
      var before = touches.get(event.pointerId);
      zoom(Math.hypot(before.clientX - other.clientX, before.clientY - other.clientY) /
           Math.max(1, Math.hypot(event.clientX - other.clientX, event.clientY - other.clientY)));
      touches.set(event.pointerId, event);
      return;
    }
    var dx = event.clientX - drag.clientX, dy = event.clientY - drag.clientY;
    moved += Math.abs(dx) + Math.abs(dy);
    drag = event;
    rotate(dx / 180, dy / 180);
  });
  function release(event) {
    touches.delete(event.pointerId);
    if (drag && moved < 4 && event.type === 'pointerup') {
      var key = pieceAt(event);
      if (key) window.positions.goTo(key);
    }
    drag = null;
  }
  stage.addEventListener('pointerup', release);
  stage.addEventListener('pointercancel', release);
  stage.addEventListener('wheel', function (event) {
    event.preventDefault();
    zoom(Math.pow(1.0015, event.deltaY));
  }, {passive: false});
  stage.addEventListener('keydown', function (event) {
    var steps = {ArrowLeft: [-0.1, 0], ArrowRight: [0.1, 0], ArrowUp: [0, 0.1], ArrowDown: [0, -0.1]};
    var fixed = {'1': 'oblique', '2': 'front', '3': 'top', '4': 'side'};
    if (steps[event.key]) rotate(steps[event.key][0], steps[event.key][1]);
    else if (fixed[event.key]) look(fixed[event.key]);
    else if (event.key === '+' || event.key === '=') zoom(0.9);
    else if (event.key === '-') zoom(1.1);
    else return;
    event.preventDefault();
  });
  holder.querySelectorAll('[data-view]').forEach(function (button) {
    button.addEventListener('click', function () { look(button.getAttribute('data-view')); });
  });
  holder.querySelectorAll('[data-toggle]').forEach(function (button) {
    button.addEventListener('click', function () {
      var on = button.getAttribute('aria-pressed') !== 'true';
      button.setAttribute('aria-pressed', String(on));
      if (button.getAttribute('data-toggle') === 'labels') labels = on;
      else if (cloud) cloud.visible = on;
      redraw();
    });
  });
  document.addEventListener('position-shown', function (event) { highlight(event.detail); });
  window.addEventListener('resize', resize);

  function build() {
    while (world.children.length) world.remove(world.children[0]);
    pieces = new THREE.Group();
    world.add(new THREE.HemisphereLight(0xffffff, 0x888888, 0.9));
    var light = new THREE.DirectionalLight(0xffffff, 0.4);
    light.position.set(-1, 2, 3);
    world.add(light);
    addVolume();
    scene.pieces.forEach(addPiece);
    world.add(pieces);
    addPoints();
    highlight(shownKey);
  }
  build();
  addTags();
  resize();
  if (dark.addEventListener) dark.addEventListener('change', build);
})();
