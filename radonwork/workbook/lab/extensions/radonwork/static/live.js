// Runs the cells of a workbook when it is opened, so that nobody has to look for Run All.
// Only a notebook that says it is a workbook, and whose every code cell this machine trusts, is run:
// one that came from a stranger waits to be read first, as any notebook does.
// A federated module written by hand: it is one screen long and needs no build step.

const NOT_RUN =
  "This workbook was not put here by radonwork on this machine, or was changed since, so nothing in it has been run. " +
  "Read it first. If you trust it, choose Run All Cells from the menu Run.";

let shared;

async function from(name) {
  const [found] = Object.values(shared[name]);
  return (await found.get())();
}

async function bringToLife({ content, context, node, sessionContext }) {
  await context.ready;
  const code = content.widgets.filter((cell) => cell.model.type === "code");
  if (!content.model.getMetadata("radonwork")) return;
  if (!code.every((cell) => cell.model.trusted)) {
    const { Notification } = await from("@jupyterlab/apputils");
    Notification.info(NOT_RUN, { autoClose: false });
    return;
  }
  node.ariaBusy = "true";
  await sessionContext.ready;
  const { NotebookActions } = await from("@jupyterlab/notebook");
  await NotebookActions.runCells(content, code, sessionContext);
  content.model.dirty = false; // what opening it makes, opening it makes again: nobody is asked to save that
  node.ariaBusy = "false";
}

const plugin = {
  id: "radonwork:live",
  description: "Runs a workbook's cells when it is opened.",
  autoStart: true,
  activate: (app) => void app.docRegistry.addWidgetExtension("Notebook", { createNew: (panel) => void bringToLife(panel) }),
};

window._JUPYTERLAB ??= {};
window._JUPYTERLAB.radonwork = {
  init: (scope) => void (shared = scope),
  get: async () => () => plugin,
};
