using System.Runtime.InteropServices;
using RenderGraph.Cli;
using RenderGraph.Cli.Console;
using RenderGraph.Nodes;
using RenderGraph.Nodes.AudioFiles;

using var interrupt = new CancellationTokenSource();
using var onInterrupt = PosixSignalRegistration.Create(PosixSignal.SIGINT, Stop);
using var onTerminate = PosixSignalRegistration.Create(PosixSignal.SIGTERM, Stop);

return CommandLine.Run(args, new CommandSetting(
    Terminal.OfProcess(), BuiltInNodes.Catalog, new DiskAudioFiles(), interrupt.Token));

// The render ends at its next block and takes its unfinished files away.
void Stop(PosixSignalContext signal)
{
    signal.Cancel = true;
    interrupt.Cancel();
}
