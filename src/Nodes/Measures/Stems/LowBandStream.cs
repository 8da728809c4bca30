using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Measures.Hits;

namespace RenderGraph.Nodes.Measures.Stems;

/// <summary>
/// The last of the low band of a signal that is heard block by block: as much of it as a window needs, and nothing that grows with the song. Where only some windows are wanted, what lies between
/// them is passed over; the filters reach no further than they are long, so every window has the same bits either way.
/// </summary>
internal sealed class LowBandStream
{
    // For what the filters still hold when a signal ends.
    private const int EndRoom = 64;

    private readonly LowBand _band;
    private readonly int _windowFrames;
    private readonly Decimator[] _decimators;
    private readonly History[] _kept;
    private readonly double[] _given;
    private readonly IReadOnlyList<long>? _wanted;
    private int _next; // the first window not yet ready
    private bool _isIdle;

    /// <param name="windowFrames">The low band's frames that may be asked for at once.</param>
    /// <param name="mostFrames">No block is longer.</param>
    /// <param name="wanted">Where the windows begin that will be asked for, in the low band's frames and in order; null for any.</param>
    public LowBandStream(LowBand band, int sampleRateHz, int channels, int windowFrames, int mostFrames, IReadOnlyList<long>? wanted = null)
    {
        (_band, _windowFrames, _wanted, _isIdle) = (band, windowFrames, wanted, wanted is not null);
        _decimators = [.. Enumerable.Range(0, channels).Select(_ => new Decimator(band.Factor, LowBand.PassHz, sampleRateHz, mostFrames))];
        _given = new double[Decimator.MostSamples(mostFrames, band.Factor) + EndRoom];
        _kept = [.. Enumerable.Range(0, channels).Select(_ => new History(windowFrames + _given.Length))];
    }

    /// <summary>Of the signal.</summary>
    public int Channels => _kept.Length;

    /// <summary>The song's frames heard.</summary>
    public long HeardFrames { get; private set; }

    /// <summary>The low band's frames that are ready; between windows that are wanted, fewer may be.</summary>
    public long ReadyFrames => _kept[0].Count;

    /// <summary>Takes the next block.</summary>
    public void Hear(Signal block)
    {
        var start = 0;
        if (_wanted is not null)
        {
            while (_next < _wanted.Count && !_isIdle && _wanted[_next] + _windowFrames <= ReadyFrames)
                _next++;
            var first = _next < _wanted.Count ? FirstFrameFor(_wanted[_next]) : long.MaxValue;
            if (first >= HeardFrames + block.Frames)
            {
                _isIdle = true;
                HeardFrames += block.Frames;
                return;
            }

            if (_isIdle)
                start = Begin(first);
        }

        for (var channel = 0; channel < _kept.Length; channel++)
            _kept[channel].Add(_given.AsSpan(0, _decimators[channel].Process(block[channel][start..], _given)));
        HeardFrames += block.Frames;
    }

    /// <summary>Ends the signal: what is left becomes ready.</summary>
    public void Finish()
    {
        for (var channel = 0; channel < _kept.Length && !_isIdle; channel++)
        {
            var count = (int)Math.Min(_decimators[channel].Finish(_given), _band.FramesOf(HeardFrames) - _kept[channel].Count);
            _kept[channel].Add(_given.AsSpan(0, Math.Max(0, count)));
        }
    }

    /// <summary>Reads frames of the low band; those before 0 and past the end are 0.</summary>
    public void Read(int channel, long startFrame, Span<double> into) => _kept[channel].CopyTo(startFrame, into);

    // The first of the song's frames that a window hears, on one that the low band has.
    private long FirstFrameFor(long lowFrame) => Math.Max(0, (lowFrame * _band.Factor) - _decimators[0].ReachFrames) / _band.Factor * _band.Factor;

    private int Begin(long firstFrame)
    {
        _isIdle = false;
        foreach (var decimator in _decimators)
            decimator.Reset();
        foreach (var kept in _kept)
            kept.SkipTo(firstFrame / _band.Factor);
        return (int)(firstFrame - HeardFrames);
    }
}
