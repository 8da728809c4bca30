using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.AudioFiles;

namespace RenderGraph.Cli.Tests;

/// <summary>Files on disk, with somebody else at work on the stems.</summary>
internal sealed class WatchedFiles : IAudioFiles
{
    private readonly DiskAudioFiles _files = new();

    /// <summary>Called with the stem's path after each read.</summary>
    public required Action<string> AfterRead { get; init; }

    public IStemReader? OpenStem(StemRequest request, StemReport report) =>
        _files.OpenStem(request, report) is { } stem ? new Reader(stem, () => AfterRead(request.Path)) : null;

    public IStemReader ConvertRate(IStemReader stem, int sampleRateHz) => _files.ConvertRate(stem, sampleRateHz);

    public IOutputWriter CreateOutput(OutputFormat format) => _files.CreateOutput(format);

    private sealed class Reader(IStemReader stem, Action afterRead) : IStemReader
    {
        public StemFormat Format => stem.Format;

        public void Read(long startFrame, Signal into)
        {
            stem.Read(startFrame, into);
            afterRead();
        }

        public void CheckUnchanged() => stem.CheckUnchanged();

        public void Dispose() => stem.Dispose();
    }
}
