using CsCheck;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Measures.Loudness;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Measures.Loudness;

public class TruePeakDetectorTests
{
    private static readonly Gen<double[]> Sounds = Gen.Select(Gen.Int[1, 700], Gen.Int[0, 4], Gen.Int[0, 1_000_000], Gen.Double[0.001, 4]).Select((frames, kind, seed, size) =>
        Signals.Fill(1, frames, (_, frame) => size * Sample(kind, seed, frame))[0].ToArray());

    [Fact]
    public void FindsWhatWorkingOutEveryPointFinds()
    {
        Gen.Select(Sounds, Gen.Int[1, 300]).Sample((sound, blockFrames) =>
        {
            var detector = Search(sound, blockFrames);
            var (peak, frame) = Obvious(sound);
            Assert.Equal((peak, frame), (detector.Peak, detector.PeakFrame));
        }, iter: 300);
    }

    [Fact]
    public void NoPointPassesItsBound()
    {
        Sounds.Sample(sound =>
        {
            var interpolator = new TruePeakInterpolator();
            var samples = Padded(sound);
            var bounds = new double[(samples.Length - Reach + TruePeakInterpolator.MaxFrames - 1) / TruePeakInterpolator.MaxFrames];
            TruePeakInterpolator.Bounds(samples, new double[(samples.Length / TruePeakInterpolator.MaxFrames) + 1], bounds);
            for (var stretch = 0; stretch < bounds.Length; stretch++)
            {
                var (start, frames) = (stretch * TruePeakInterpolator.MaxFrames, Math.Min(TruePeakInterpolator.MaxFrames, samples.Length - Reach - (stretch * TruePeakInterpolator.MaxFrames)));
                interpolator.Raise(samples.AsSpan(start, frames + Reach));
                for (var eighth = 0; eighth < TruePeakInterpolator.Factor; eighth++)
                    Assert.True(Peaks.Largest(interpolator.Points(eighth, frames)) <= bounds[stretch]);
            }
        }, iter: 2000);

        // An ideal interpolation of the highest frequency would need a quarter; little more is allowed, or few stretches would be spared.
        Assert.InRange(TruePeakInterpolator.OvershootPerBend, 0.25, 0.6);
    }

    /// <summary>A sine's points lie on the sine, up to the pass edge: the closed form.</summary>
    [Theory]
    [InlineData(0.01)]
    [InlineData(0.2)]
    [InlineData(0.4)]
    [InlineData(0.453)]
    public void PutsPointsOnTheSineThatTheSamplesAreOf(double cyclesPerSample)
    {
        var samples = Enumerable.Range(0, TruePeakInterpolator.MaxFrames + Reach).Select(frame => Math.Sin(2 * Math.PI * cyclesPerSample * frame)).ToArray();
        var interpolator = new TruePeakInterpolator();
        interpolator.Raise(samples);
        for (var eighth = 0; eighth < TruePeakInterpolator.Factor; eighth++)
        {
            var points = interpolator.Points(eighth, TruePeakInterpolator.MaxFrames);
            for (var frame = 0; frame < points.Length; frame++)
                Assert.Equal(Math.Sin(2 * Math.PI * cyclesPerSample * (TruePeakInterpolator.FramesBefore + frame + (eighth / 8.0))), points[frame], 1e-4);
        }
    }

    [Fact]
    public void FindsThePeakAtTheVeryEndAndWhatRingsBehindIt()
    {
        var sound = new double[1000];
        sound[^1] = 0.5;
        sound[^2] = 0.5;
        Assert.Equal(Obvious(sound), (Search(sound, 100).Peak, Search(sound, 100).PeakFrame));
        Assert.InRange(Search(sound, 100).Peak, 0.6, 0.65); // between two equal samples: 0.5 * 4 / pi, less by the window
    }

    private static int Reach => TruePeakInterpolator.FramesBefore + TruePeakInterpolator.FramesAfter;

    private static TruePeakDetector Search(double[] sound, int blockFrames)
    {
        var detector = new TruePeakDetector(new(), blockFrames);
        for (var start = 0; start < sound.Length; start += blockFrames)
            detector.Hear(sound.AsSpan(start, Math.Min(blockFrames, sound.Length - start)), isSilent: false);
        detector.End();
        return detector;
    }

    private static (double Peak, long Frame) Obvious(double[] sound)
    {
        var samples = Padded(sound);
        var interpolator = new TruePeakInterpolator();
        var (peak, place) = (0.0, -1L);
        for (var start = 0; start + Reach < samples.Length; start++)
        {
            interpolator.Raise(samples.AsSpan(start, 1 + Reach));
            for (var eighth = 0; eighth < TruePeakInterpolator.Factor; eighth++)
            {
                var level = Math.Abs(interpolator.Points(eighth, 1)[0]);
                if (level > peak)
                    (peak, place) = (level, start - TruePeakInterpolator.FramesAfter);
            }
        }

        return (peak, place);
    }

    // Silence around it: what rings before and behind is searched too.
    private static double[] Padded(double[] sound) => [.. new double[Reach], .. sound, .. new double[Reach]];

    private static double Sample(int kind, int seed, int frame) => kind switch
    {
        0 => Signals.Noise(1, seed + (7919 * frame))[0][0],
        1 => Math.Sin(0.0007 * (seed % 4000) * frame),
        2 => frame % (2 + (seed % 61)) == 0 ? 1 : 0,
        3 => (frame / (1 + (seed % 50)) % 2 == 0) ? 1 : -1,
        _ => (Math.Sin(0.05 * frame) * 0.7) + (Signals.Noise(1, seed + (7919 * frame))[0][0] * 0.02),
    };
}
