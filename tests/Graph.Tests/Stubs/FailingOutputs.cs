using RenderGraph.Graph.Contracts;
using RenderGraph.Testing;

namespace RenderGraph.Graph.Tests.Stubs;

/// <summary>Outputs of which one fails at a chosen moment.</summary>
/// <param name="files">Where the others go.</param>
/// <param name="output">Name of the one that fails.</param>
internal sealed class FailingOutputs(MemoryAudioFiles files, string output, FailingOutputs.Moment moment) : IAudioFiles
{
    /// <summary>When it fails.</summary>
    public enum Moment
    {
        Create,
        SecondWrite,
        Finish,
        Commit,
    }

    public IStemReader? OpenStem(StemRequest request, StemReport report) => files.OpenStem(request, report);

    public IStemReader ConvertRate(IStemReader stem, int sampleRateHz) => files.ConvertRate(stem, sampleRateHz);

    public IOutputWriter CreateOutput(OutputFormat format)
    {
        if (format.Name != output)
            return files.CreateOutput(format);
        return moment == Moment.Create ? throw Failure() : new Writer(files.CreateOutput(format), moment);
    }

    private static OutputException Failure() => new("disk", "the disk is full", "Make room");

    private sealed class Writer(IOutputWriter inner, Moment moment) : IOutputWriter
    {
        private int _writes;

        public void Write(Signal signal)
        {
            if (++_writes == 2 && moment == Moment.SecondWrite)
                throw Failure();
            inner.Write(signal);
        }

        public OutputSummary Finish() => moment == Moment.Finish ? throw Failure() : inner.Finish();

        public void Commit()
        {
            if (moment == Moment.Commit)
                throw Failure();
            inner.Commit();
        }

        public void Dispose() => inner.Dispose();
    }
}
