using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Measures.Hits;

namespace RenderGraph.Nodes.Measures.Stems;

/// <summary>The last of the low band of a signal that is heard block by block: as much of it as a window needs, and nothing that grows with the song.</summary>
internal sealed class LowBandStream
{
    // For what the filters still hold when a signal ends.
    private const int EndRoom = 64;

    private readonly LowBand _band;
    private readonly Decimator[] _decimators;
    private readonly History[] _kept;
    private readonly double[] _given;

    /// <param name="windowFrames">The low band's frames that may be asked for at once.</param>
    /// <param name="mostFrames">No block is longer.</param>
    public LowBandStream(LowBand band, int sampleRateHz, int channels, int windowFrames, int mostFrames)
    {
        _band = band;
        _decimators = [.. Enumerable.Range(0, channels).Select(_ => new Decimator(band.Factor, LowBand.PassHz, sampleRateHz, mostFrames))];
        _given = new double[Decimator.MostSamples(mostFrames, band.Factor) + EndRoom];
        _kept = [.. Enumerable.Range(0, channels).Select(_ => new History(windowFrames + _given.Length))];
    }

    /// <summary>Of the signal.</summary>
    public int Channels => _kept.Length;

    /// <summary>The song's frames heard.</summary>
    public long HeardFrames { get; private set; }

    /// <summary>The low band's frames that are ready.</summary>
    public long ReadyFrames => _kept[0].Count;

    /// <summary>Takes the next block.</summary>
    public void Hear(Signal block)
    {
        for (var channel = 0; channel < _kept.Length; channel++)
            _kept[channel].Add(_given.AsSpan(0, _decimators[channel].Process(block[channel], _given)));
        HeardFrames += block.Frames;
    }

    /// <summary>Ends the signal: what is left becomes ready.</summary>
    public void Finish()
    {
        for (var channel = 0; channel < _kept.Length; channel++)
        {
            var count = (int)Math.Min(_decimators[channel].Finish(_given), _band.FramesOf(HeardFrames) - _kept[channel].Count);
            _kept[channel].Add(_given.AsSpan(0, Math.Max(0, count)));
        }
    }

    /// <summary>Reads frames of the low band; those before 0 and past the end are 0.</summary>
    public void Read(int channel, long startFrame, Span<double> into)
    {
        for (var index = 0; index < into.Length; index++)
            into[index] = _kept[channel][startFrame + index];
    }
}
