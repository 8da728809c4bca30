using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Hits;
using RenderGraph.Nodes.Measures.Pitch;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Measures.Pitch;

public sealed class DominantFrequencyFinderTests
{
    private const int SampleRateHz = 44100;

    // tests/Reference/analysis.json: what the recipes' sweeps settle to, in closed form.
    [Theory]
    [InlineData(8000)]
    [InlineData(44100)]
    [InlineData(48000)]
    [InlineData(192000)]
    public void EveryKickIsMetWithinHalfAHertz(int sampleRateHz)
    {
        foreach (var kick in AnalysisReference.Kicks)
        {
            var found = Find(kick.Play(sampleRateHz), sampleRateHz)!;
            Assert.InRange(found.FrequencyHz, kick.SettledHz - 0.5, kick.SettledHz + 0.5);
            Assert.InRange(found.Confidence, 0.75, 1);
            Assert.InRange(found.SpreadHz, 0, 0.2);
        }
    }

    // tests/Reference/copper-lantern: the spectrum of the one-shot after its first 80 ms, by numpy.
    [Fact]
    public void ARecordedKickIsMetWithinAHertz()
    {
        var (kick, sampleRateHz) = CopperLantern.Read("kick");
        var found = Find(kick, sampleRateHz)!;
        Assert.InRange(found.FrequencyHz, CopperLantern.KickSettledHz - 0.6, CopperLantern.KickSettledHz + 0.6);
        Assert.InRange(found.Confidence, 0.75, 1);
        Assert.InRange(found.HitCount, 20, 28);
    }

    [Theory]
    [InlineData("sub")]
    [InlineData("bass")]
    public void ABassThatPlaysManyNotesIsOwnedUpToBeNoNote(string stem)
    {
        var (signal, sampleRateHz) = CopperLantern.Read(stem);
        Assert.InRange(Find(signal, sampleRateHz)!.Confidence, 0, DominantFrequency.LowConfidence / 2);
    }

    [Fact]
    public void BurstsOfNoiseHaveNoConfidence()
    {
        var bursts = Signals.Noise(20 * SampleRateHz);
        for (var frame = 0; frame < bursts.Frames; frame++)
            bursts[0][frame] *= frame % 22050 < 8000 ? 1 : 0.001;
        Assert.InRange(Find(bursts, SampleRateHz)!.Confidence, 0, 0.2);
    }

    [Fact]
    public void ToneBurstsAreMetWithinATenthOfAHertz()
    {
        foreach (var (midi, frequencyHz) in AnalysisReference.NotesHz.Where(note => note.Value < 290))
        {
            var notes = Signals.Sine(frequencyHz, SampleRateHz, 4 * SampleRateHz, amplitude: 0.3);
            for (var frame = 0; frame < notes.Frames; frame++)
                notes[0][frame] *= Math.Clamp(Math.Min(frame % SampleRateHz / 200.0, ((0.8 * SampleRateHz) - (frame % SampleRateHz)) / 200), 0, 1);
            var found = Find(notes, SampleRateHz)!;
            Assert.InRange(found.FrequencyHz, frequencyHz - 0.1, frequencyHz + 0.1);
            Assert.Equal(midi, Note.NearestTo(found.FrequencyHz).Midi);
        }
    }

    [Fact]
    public void OneHitIsHalfAProof() =>
        Assert.InRange(Find(AnalysisReference.Kicks[0].With(2, (0.5, 1)).Play(SampleRateHz), SampleRateHz)!.Confidence, 0.4, 0.5);

    [Fact]
    public void WithoutAHitThatCanBeHeardThereIsNoAnswer()
    {
        Assert.Null(Find(Signals.Silence(2 * SampleRateHz), SampleRateHz));
        Assert.Null(new DominantFrequencyFinder(SampleRateHz, [new(0, 1)]).Finish());
        var roll = AnalysisReference.Kicks[1].With(3, [.. Enumerable.Range(0, 20).Select(index => (0.5 + (0.1 * index), 1.0))]);
        var hits = roll.HitFrames(SampleRateHz).Select(frame => new Hit(frame, 1)).ToList();
        Assert.Equal(1, Find(roll.Play(SampleRateHz), SampleRateHz, hits)!.HitCount); // only the last has room behind it
    }

    [Fact]
    public void BlocksLevelAndPolarityChangeNothing()
    {
        var (kick, sampleRateHz) = CopperLantern.Read("kick");
        var hits = Hits(kick, sampleRateHz);
        var whole = Find(kick, sampleRateHz, hits);
        foreach (var blockFrames in new[] { 16, 1000, 65536 })
            Assert.Equal(whole, Find(kick, sampleRateHz, hits, blockFrames));
        Assert.Equal(whole, Find(Signals.Fill(2, kick.Frames, (_, frame) => -0.0625 * kick[0][frame]), sampleRateHz, hits));
    }

    private static DominantFrequency? Find(Signal signal, int sampleRateHz) => Find(signal, sampleRateHz, Hits(signal, sampleRateHz));

    private static DominantFrequency? Find(Signal signal, int sampleRateHz, IReadOnlyList<Hit> hits, int blockFrames = 4096)
    {
        var finder = new DominantFrequencyFinder(sampleRateHz, hits);
        for (var start = 0; start < signal.Frames; start += blockFrames)
            finder.Add(signal.Slice(start, Math.Min(blockFrames, signal.Frames - start)));
        return finder.Finish();
    }

    private static IReadOnlyList<Hit> Hits(Signal signal, int sampleRateHz)
    {
        var finder = new HitFinder(sampleRateHz);
        finder.Add(signal);
        return finder.Finish();
    }
}
