using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Dynamics;

/// <summary>How keyed cuts hear a key: the peaks of one of its bands, or of all of it.</summary>
/// <param name="bandHz">Centre of the band; null is all of the key.</param>
internal sealed class KeyEar(double? bandHz, int sampleRateHz, int keyChannels, int maxBlockFrames)
{
    private readonly KeyPeaks _peaks = new(maxBlockFrames);
    private readonly SectionCascade? _bandPass = bandHz is { } centreHz ? new([BandPass(centreHz, sampleRateHz)]) : null;
    private readonly Signal _heard = Signal.Allocate(keyChannels, bandHz is null ? 0 : maxBlockFrames);

    /// <summary>The peak so far of the control step that the last block ended in.</summary>
    public double Unfinished => _peaks.Unfinished;

    /// <summary>What is heard of a band.</summary>
    public static Section BandPass(double centreHz, int sampleRateHz) =>
        SectionDesign.BandPass(centreHz, KeyedCutParameters.ListeningQ, sampleRateHz);

    /// <summary>Takes a block of the key and gives the peaks of the control steps that end in it. They stand until the next block.</summary>
    public ReadOnlySpan<double> Hear(long songFrame, Signal key)
    {
        if (_bandPass is null)
            return _peaks.Of(songFrame, key);
        var heard = _heard.Slice(0, key.Frames);
        _bandPass.Process(songFrame, key, heard);
        return _peaks.Of(songFrame, heard);
    }
}
