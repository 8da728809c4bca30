using System.Runtime.InteropServices;
using RenderGraph.Cli;
using RenderGraph.Cli.Console;
using RenderGraph.Nodes;
using RenderGraph.Nodes.AudioFiles;

using var interrupt = new CancellationTokenSource();
using var onInterrupt = PosixSignalRegistration.Create(PosixSignal.SIGINT, Stop);
using var onTerminate = PosixSignalRegistration.Create(PosixSignal.SIGTERM, Stop);
using var onHangUp = PosixSignalRegistration.Create(PosixSignal.SIGHUP, Stop);

return CommandLine.Run(args, new CommandSetting(
    Terminal.OfProcess(), BuiltInNodes.Catalog, new DiskAudioFiles(), interrupt.Token));

// The render ends at its next block and takes its unfinished files away. Where it cannot, because a disk does not answer, a second signal ends the program
// at once, as if there were nothing here; the next render then sweeps up.
void Stop(PosixSignalContext signal)
{
    signal.Cancel = !interrupt.IsCancellationRequested;
    interrupt.Cancel();
}
