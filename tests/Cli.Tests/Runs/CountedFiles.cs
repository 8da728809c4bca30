using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.AudioFiles;

namespace RenderGraph.Cli.Tests.Runs;

/// <summary>Files on disk, and how often a stem was opened and an output begun.</summary>
internal sealed class CountedFiles : IAudioFiles
{
    private readonly DiskAudioFiles _files = new();

    public int Opened { get; private set; }

    public int Created { get; private set; }

    public IStemReader? OpenStem(StemRequest request, StemReport report)
    {
        Opened++;
        return _files.OpenStem(request, report);
    }

    public IStemReader ConvertRate(IStemReader stem, int sampleRateHz) => _files.ConvertRate(stem, sampleRateHz);

    public IOutputWriter CreateOutput(OutputFormat format)
    {
        Created++;
        return _files.CreateOutput(format);
    }
}
