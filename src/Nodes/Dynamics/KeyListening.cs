using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Dynamics;

/// <summary>How keyed cuts hear a key before the render: how loud its hits are in some of its bands, side by side in one bank, or in all of it.</summary>
internal sealed class KeyListening : IListener
{
    private readonly Ear[] _ears; // those that hear a band come first
    private readonly SectionBank? _bandPasses;
    private readonly Signal[] _bands; // room for what passes
    private readonly Signal[] _keys, _heard; // by the bank, in this block

    /// <param name="bandsHz">Centres of bands; null is all of the key. None comes twice.</param>
    public KeyListening(IEnumerable<double?> bandsHz, int sampleRateHz, int keyChannels, int maxBlockFrames)
    {
        _ears = [.. bandsHz.OrderBy(bandHz => bandHz is null).Select(bandHz => new Ear(bandHz, sampleRateHz, maxBlockFrames))];
        var bands = _ears.Select(ear => ear.BandHz).OfType<double>().ToList();
        _bandPasses = bands.Count == 0 ? null : new(bands.ConvertAll(bandHz => (keyChannels, (IReadOnlyList<Section>)[BandPass(bandHz, sampleRateHz)])));
        _bands = [.. bands.Select(_ => Signal.Allocate(keyChannels, maxBlockFrames))];
        (_keys, _heard) = (new Signal[bands.Count], new Signal[bands.Count]);
    }

    /// <summary>What is heard of a band.</summary>
    public static Section BandPass(double centreHz, int sampleRateHz) =>
        SectionDesign.BandPass(centreHz, KeyedCutParameters.ListeningQ, sampleRateHz);

    /// <inheritdoc/>
    public void Listen(long songFrame, Signal heard)
    {
        for (var index = 0; index < _bands.Length; index++)
            (_keys[index], _heard[index]) = (heard, _bands[index].Slice(0, heard.Frames));
        _bandPasses?.Process(songFrame, _keys, _heard);
        for (var index = 0; index < _ears.Length; index++)
            _ears[index].Hear(songFrame, index < _heard.Length ? _heard[index] : heard);
    }

    /// <summary>Once all is heard: the level of the loud hits, as <see cref="LoudHits.Settle"/>.</summary>
    public double LevelDbfs(double? bandHz) => Array.Find(_ears, ear => ear.BandHz == bandHz)!.LevelDbfs;

    private sealed class Ear(double? bandHz, int sampleRateHz, int maxBlockFrames)
    {
        private readonly KeyPeaks _peaks = new(maxBlockFrames);
        private readonly LoudHits _loudHits = new(sampleRateHz);
        private double? _levelDbfs;

        public double? BandHz => bandHz;

        public double LevelDbfs => _levelDbfs ??= Settle();

        public void Hear(long songFrame, Signal heard)
        {
            foreach (var peak in _peaks.Of(songFrame, heard))
                _loudHits.Add(peak);
        }

        private double Settle()
        {
            _loudHits.Add(_peaks.Unfinished);
            return _loudHits.Settle();
        }
    }
}
