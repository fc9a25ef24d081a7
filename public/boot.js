// Starts the app, takes the first paint away, and registers the service worker.
//
// Between this file and the app:
//   window.hingelineOffline   "starting", "ready", "insecure", "absent", or "failed: why"; each change is announced
//                             by a "hingeline-offline" event on window
//   window.hingelineWaiting   the service worker of an update that waits to be asked, or null; a waiting one is
//                             announced by a "hingeline-update" event on window
//   "hingeline-take-update"   the app sends this event on window: the waiting update takes over and this page, and no
//                             other, is loaded once more
//   "hingeline-taken"         announced on window when another page took an update: this page goes on as it is

const tag = document.querySelector("script[data-wasm]");
const root = new URL(document.baseURI);
let asked = false;

window.hingelineWaiting = null;
tell("starting");

try {
  const glue = await import(tag.dataset.glue);
  await glue.default({ module_or_path: tag.dataset.wasm });
  document.getElementById("first-paint")?.remove();
} catch (error) {
  const words = document.getElementById("first-words");
  if (words) {
    words.setAttribute("role", "alert");
    words.textContent = error instanceof WebAssembly.CompileError
      ? `The book did not open: this browser cannot run it (${error.message}). What was kept is still on this tablet. Bring the browser, or on an iPad its system, up to date and load this page again.`
      : `The book did not open: ${error}. What was kept is still on this tablet. Close other windows of the book and load this page again.`;
  }
  console.error(error);
}

if (document.readyState === "complete") register();
else addEventListener("load", register, { once: true });

function tell(state) {
  window.hingelineOffline = state;
  dispatchEvent(new Event("hingeline-offline"));
}

async function register() {
  if (!isSecureContext) return tell("insecure");
  if (!("serviceWorker" in navigator)) return tell("absent");
  navigator.serviceWorker.addEventListener("controllerchange", changed);
  addEventListener("hingeline-take-update", take);
  try {
    const registration = await navigator.serviceWorker.register(new URL("sw.js", root), {
      scope: root.pathname,
      updateViaCache: "none",
    });
    if (registration.waiting && registration.active) offer(registration.waiting);
    watch(registration, registration.installing);
    registration.addEventListener("updatefound", () => watch(registration, registration.installing));
    if (registration.active) tell("ready");
  } catch (error) {
    // A worker from an earlier visit still serves when the server cannot be reached.
    if (navigator.serviceWorker.controller) tell("ready");
    else tell(`failed: ${error}`);
  }
}

// Follows a worker that is being installed: offered when it waits behind another, named when it could not be installed.
function watch(registration, worker) {
  if (!worker) return;
  worker.addEventListener("statechange", () => {
    if (worker.state === "installed" && registration.active) offer(worker);
    if (worker.state === "activated") tell("ready");
    if (worker.state === "redundant" && !registration.active) tell("failed: the files could not all be fetched");
    if (worker.state === "redundant" && window.hingelineWaiting === worker) window.hingelineWaiting = null;
  });
}

function offer(worker) {
  window.hingelineWaiting = worker;
  dispatchEvent(new Event("hingeline-update"));
}

function take() {
  if (!window.hingelineWaiting) return;
  asked = true;
  window.hingelineWaiting.postMessage({ type: "take-over" });
}

function changed() {
  const update = window.hingelineWaiting;
  window.hingelineWaiting = null;
  if (asked) {
    asked = false;
    location.reload();
  } else if (update) {
    dispatchEvent(new Event("hingeline-taken"));
  }
}
