using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Hits;

namespace RenderGraph.Nodes.Measures.Pitch;

/// <summary>
/// Finds where the low note of a part's hits sits. A stem is heard once more, its hits being known, and memory grows with the hits only.
/// <list type="number">
/// <item>A hit's tone is what <see cref="LowSpectrum"/> sees from <see cref="FromMs"/> after its onset, when the sweep that a drum begins with is over, until it has faded by 30 dB, the next
/// hit comes, or <see cref="ToMs"/> have passed. Hits with less than <see cref="ShortestMs"/> of that are left out.</item>
/// <item>A slow sweep may go on: as long as <see cref="LongMs"/> are left and the tone is another by <see cref="StillMoving"/> if it is looked at that much later again, the later one counts.</item>
/// <item>The answer is the median over the hits, each counted by the energy of its tone.</item>
/// </list>
/// The confidence is the product of three shares: how much of that energy lies within a quarter of a tone of the answer, how much of the low end the tones make up, and n / (n + 1) for n hits.
/// Kicks whose truth is known are met within 0.5 Hz (<c>DominantFrequencyFinderTests</c>). The rules are our own.
/// </summary>
public sealed class DominantFrequencyFinder
{
    /// <summary>Where a hit's settled part begins, after its onset.</summary>
    public const double FromMs = 80;

    /// <summary>Where it ends at the latest.</summary>
    public const double ToMs = 600;

    /// <summary>Less than this says nothing: one period of 20 Hz.</summary>
    public const double ShortestMs = 50;

    /// <summary>So much must be left to look again later.</summary>
    public const double LongMs = 200;

    /// <summary>Share of itself by which a tone differs that still sweeps.</summary>
    public const double StillMoving = 0.005;

    private readonly HitTones _heard;
    private readonly IReadOnlyList<Hit> _hits;
    private readonly List<Tone> _tones = [];
    private int _next;

    /// <summary>For a stem of that rate.</summary>
    /// <param name="hits">Its hits, by the stem's frames.</param>
    public DominantFrequencyFinder(int sampleRateHz, IReadOnlyList<Hit> hits) => (_heard, _hits) = (new(sampleRateHz), hits);

    /// <summary>Takes the next block of the stem, of any length.</summary>
    public void Add(Signal block)
    {
        for (var start = 0; start < block.Frames;)
        {
            var part = block.Slice(start, Math.Min(_heard.MostFrames, block.Frames - start));
            _heard.Add(part);
            start += part.Frames;
            while (_next < _hits.Count && _heard.IsHeard(_hits[_next].Frame, After(_next)))
                Look();
        }
    }

    /// <summary>Ends the stem. Null if there is no hit after which a tone can be heard.</summary>
    public DominantFrequency? Finish()
    {
        while (_next < _hits.Count)
            Look();
        return HitTones.Together(_tones);
    }

    private long? After(int hit) => hit + 1 < _hits.Count ? _hits[hit + 1].Frame : null;

    private void Look()
    {
        if (_heard.Of(_hits[_next].Frame, After(_next)) is { } tone)
            _tones.Add(tone);
        _next++;
    }
}
