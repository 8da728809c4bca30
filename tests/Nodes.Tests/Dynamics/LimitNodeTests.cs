using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dynamics;
using RenderGraph.Nodes.Measures.Loudness;
using RenderGraph.Testing;
using Xunit;
using Xunit.Abstractions;

namespace RenderGraph.Nodes.Tests.Dynamics;

public class LimitNodeTests(ITestOutputHelper output)
{
    private const int RateHz = 48000;

    private static readonly IReadOnlySet<string> TruePeak = new HashSet<string> { "truePeakDbtp" };

    private const int BlockFrames = 1024;

    public enum Kind { White, Alternating, Steps, Impulses, NearHalfTheRate, Bursts, SignsOfTheFilter, LowWithClicks, Sweep, HugeThenSmall }

    /// <summary>10,000 blocks in all, each as long as a block of a render, of every kind that has been thought of to get past a limiter.</summary>
    [Theory]
    [InlineData(Kind.White)]
    [InlineData(Kind.Alternating)]
    [InlineData(Kind.Steps)]
    [InlineData(Kind.Impulses)]
    [InlineData(Kind.NearHalfTheRate)]
    [InlineData(Kind.Bursts)]
    [InlineData(Kind.SignsOfTheFilter)]
    [InlineData(Kind.LowWithClicks)]
    [InlineData(Kind.Sweep)]
    [InlineData(Kind.HugeThenSmall)]
    public void NoPointEverPassesTheCeiling(Kind kind)
    {
        const int Blocks = 1000, Songs = 20;
        var worst = double.NegativeInfinity;
        for (var song = 0; song < Songs; song++)
        {
            var random = new Random((1000 * (int)kind) + song);
            var ceilingDbtp = -12 * random.NextDouble();
            var node = NodeFactory.Create(
                LimitNode.Type, ("ceilingDbtp", ceilingDbtp), ("lookaheadMs", 1 + (19 * Math.Pow(random.NextDouble(), 2))), ("releaseMs", 10 + (500 * random.NextDouble())));
            var signal = Signals.WithTail(Adversarial(kind, random, Blocks / Songs * BlockFrames), 4000);
            var limited = NodeRunner.Run(node, RateHz, signal);
            worst = Math.Max(worst, Level(limited) - ceilingDbtp);
        }

        output.WriteLine(FormattableString.Invariant($"{kind}: at most {worst:0.0000} dB above the ceiling"));
        Assert.InRange(worst, double.NegativeInfinity, 0.05);
    }

    [Fact]
    public void WhatStaysBelowTheCeilingLeavesBitForBit()
    {
        var node = NodeFactory.Create(LimitNode.Type, ("ceilingDbtp", -1));
        var latency = node.LatencyFrames(RateHz);
        var signal = Signals.WithTail(Signals.Noise(20_000, amplitude: 0.3, channels: 2), latency);
        var limited = NodeRunner.Run(node, RateHz, signal);
        Assert.True(Signals.AreSameBits(signal.Slice(0, 20_000), limited.Slice(latency, 20_000)));
        Assert.Equal([0, 0, 0], ((IFigureSource)node).Figures.Select(figure => figure.Value!.Value));
    }

    [Fact]
    public void NoSampleIsEverMadeLarger()
    {
        var node = NodeFactory.Create(LimitNode.Type, ("ceilingDbtp", -6), ("lookaheadMs", 1), ("releaseMs", 10));
        var latency = node.LatencyFrames(RateHz);
        var signal = Signals.WithTail(Adversarial(Kind.Bursts, new Random(5), 50_000), latency);
        var limited = NodeRunner.Run(node, RateHz, signal);
        for (var channel = 0; channel < 2; channel++)
        {
            for (var frame = 0; frame < 50_000; frame++)
                Assert.True(Math.Abs(limited[channel][frame + latency]) <= Math.Abs(signal[channel][frame]));
        }
    }

    /// <summary>20 log10 2 above a ceiling of -3 dB asks for 9.02 dB, and the margin of 0.01 dB more.</summary>
    [Fact]
    public void BringsASteadySineToTheCeiling()
    {
        var node = NodeFactory.Create(LimitNode.Type, ("ceilingDbtp", -3));
        var limited = NodeRunner.Run(node, RateHz, Signals.Sine(997, RateHz, RateHz, amplitude: 2));
        Assert.Equal(-3.01, 20 * Math.Log10(Signals.Peak(limited.Slice(RateHz / 2, RateHz / 4))), 0.001);
        Assert.InRange(((IFigureSource)node).Figures[0].Value!.Value, 9.03, 9.5); // the sine's sudden beginning rings
        Assert.Equal(9.03, ((IFigureSource)node).Figures[1].Value!.Value, 0.02);
    }

    /// <summary>The gain, told by a constant that lies well under the ceiling beside a burst in the other channel.</summary>
    [Fact]
    public void FallsDuringTheLookaheadStaysForTheBurstAndIsGivenBackByTheTimeConstant()
    {
        const int Start = 24_000, End = 36_000;
        var node = NodeFactory.Create(LimitNode.Type, ("ceilingDbtp", 0), ("lookaheadMs", 5), ("releaseMs", 100));
        var latency = node.LatencyFrames(RateHz);
        var signal = Signals.Fill(2, 80_000, (channel, frame) => channel == 0 ? 0.1 : frame is >= Start and < End ? 2 * Math.Sin(0.1 * frame) : 0);
        var limited = NodeRunner.Run(node, RateHz, signal);
        double GainDb(int frame) => 20 * Math.Log10(limited[0][frame + latency] / 0.1);

        Assert.Equal(0, GainDb(Start - 340));
        Assert.InRange(GainDb(Start - 150), -5.5, -0.5);
        Assert.Equal(-6.03, GainDb((Start + End) / 2), 0.03);

        // 100 ms after what was held to the end of the look-ahead: 1/e of the reduction.
        var held = Enumerable.Range(End, 2000).First(frame => GainDb(frame) > -6.02 * 0.98);
        Assert.Equal(Math.Exp(-1) * 0.98, GainDb(held + 4800) / -6.03, 0.02);
        for (var frame = Start - 400; frame < Start; frame++)
            Assert.True(GainDb(frame + 1) <= GainDb(frame) + 1e-9);
        for (var frame = End + 400; frame < 70_000; frame++)
            Assert.True(GainDb(frame + 1) >= GainDb(frame) - 1e-9);
    }

    [Fact]
    public void BothSidesGetOneGainSoThatNothingMoves()
    {
        var node = NodeFactory.Create(LimitNode.Type, ("ceilingDbtp", -6));
        var noise = Signals.Noise(30_000, amplitude: 1.5);
        var limited = NodeRunner.Run(node, RateHz, Signals.Fill(2, 30_000, (channel, frame) => (channel == 0 ? 1 : 0.5) * noise[0][frame]));
        for (var frame = 0; frame < 30_000; frame++)
            Assert.Equal(limited[0][frame] * 0.5, limited[1][frame], 1e-15);
    }

    /// <summary>By an interpolation of the test's own, a sinc of 257 terms under Kaiser's window at 16 times the rate, it holds as well.</summary>
    [Theory]
    [InlineData(44100)]
    [InlineData(96000)]
    public void TheCeilingHoldsForAnotherInterpolationAndOtherRatesToo(int rate)
    {
        var node = NodeFactory.Create(LimitNode.Type, ("ceilingDbtp", -1));
        var low = Signals.Noise(12_000, seed: 8, amplitude: 3);
        var signal = Signals.Fill(1, 10_000, (_, frame) => (low[0][frame] + (2 * low[0][frame + 1]) + low[0][frame + 2]) / 4); // nothing at half the rate, where interpolations differ
        var limited = NodeRunner.Run(node, rate, Signals.WithTail(signal, 2000));
        Assert.InRange(20 * Math.Log10(SlowPeak(limited[0].ToArray())), -1.3, -0.95);
    }

    private static double SlowPeak(double[] samples)
    {
        const int Half = 128;
        var peak = 0.0;
        for (var point = 0; point < 16; point++)
        {
            var taps = Enumerable.Range(-Half, (2 * Half) + 1).Select(tap =>
            {
                var place = tap - (point / 16.0);
                var window = Math.Abs(place) > Half ? 0 : Bessel(10 * Math.Sqrt(1 - (place * place / (Half * Half)))) / Bessel(10);
                return place == 0 ? 1 : window * Math.Sin(Math.PI * place) / (Math.PI * place);
            }).ToArray();
            for (var frame = Half; frame < samples.Length - Half; frame++)
            {
                var sum = 0.0;
                for (var tap = 0; tap < taps.Length; tap++)
                    sum += taps[tap] * samples[frame + tap - Half];
                peak = Math.Max(peak, Math.Abs(sum));
            }
        }

        return peak;
    }

    private static double Bessel(double x)
    {
        var (sum, term) = (1.0, 1.0);
        for (var k = 1; term > 1e-17 * sum; k++)
        {
            term *= x * x / (4.0 * k * k);
            sum += term;
        }

        return sum;
    }

    private static double Level(Signal signal)
    {
        var meter = LoudnessMeter.Type.Create(TruePeak);
        meter.Prepare(new(RateHz, [signal.Channels], signal.Frames));
        meter.Hear([signal]);
        return meter.Conclude().Single().Value ?? double.NegativeInfinity;
    }

    private static Signal Adversarial(Kind kind, Random random, int frames)
    {
        var size = Math.Pow(10, random.NextDouble() * 1.5);
        var period = random.Next(2, 90);
        var sign = 1;
        return Signals.Fill(2, frames, (channel, frame) =>
        {
            if (channel == 1)
                return 0.3 * ((2 * random.NextDouble()) - 1);
            switch (kind)
            {
                case Kind.White:
                    return size * ((2 * random.NextDouble()) - 1);
                case Kind.Alternating:
                    if (random.Next(period) > 0)
                        sign = -sign;
                    return sign * size;
                case Kind.Steps:
                    if (random.Next(period) == 0)
                        sign = random.Next(-10, 11);
                    return sign * size / 10;
                case Kind.Impulses:
                    return random.Next(period) == 0 ? size * (random.Next(2) - 0.5) : 0;
                case Kind.NearHalfTheRate:
                    return size * Math.Sin(Math.PI * (0.9 + (0.0999 * (period / 90.0))) * frame);
                case Kind.Bursts:
                    return (frame / (period * 37) % 2 == 0 ? size : 0.01) * Math.Sin(0.03 * period * frame);
                case Kind.SignsOfTheFilter:
                    // A sinc half a sample off has these signs: all its terms add up.
                    var place = (frame % (2 * period)) - period;
                    return size * (place % 2 == 0 ? 1 : -1) * (place >= 0 ? 1 : -1) * (frame / (2 * period) % 3 == 0 ? 1 : 0.2);
                case Kind.LowWithClicks:
                    return (0.9 * size * Math.Sin(2 * Math.PI * 50 * frame / RateHz)) + (random.Next(20 * period) == 0 ? size : 0);
                case Kind.Sweep:
                    return size * Math.Sin(0.5 * Math.PI * frame * frame / frames);
                default:
                    return (frame % 3000 < 40 ? 30 * size : 0.9) * (random.Next(2) - 0.5);
            }
        });
    }
}
