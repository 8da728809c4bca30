using CsCheck;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Dsp;

public sealed class SectionBankTests
{
    private const int SampleRateHz = 48000;
    private const int Frames = 1500;

    /// <summary>The slow, obvious reference: the four lines of <see cref="Section"/>'s own documentation, one plane and one sample at a time.</summary>
    private static double[] Reference(ReadOnlySpan<double> input, IReadOnlyList<Section> sections)
    {
        var samples = input.ToArray();
        foreach (var section in sections)
        {
            var (band, low) = (0.0, 0.0);
            for (var frame = 0; frame < samples.Length; frame++)
            {
                if (frame % SectionBank.FlushFrames == 0)
                    (band, low) = (Math.Abs(band) < SectionBank.RestAmplitude ? 0 : band, Math.Abs(low) < SectionBank.RestAmplitude ? 0 : low);
                var x = samples[frame];
                var difference = x - low;
                var nextBand = band + ((section.BandDrive * difference) - (section.BandLoss * band));
                var nextLow = low + ((section.BandDrive * band) + (section.LowDrive * difference));
                samples[frame] = (section.InputOut * x) + ((section.BandOut * band) + (section.LowOut * low));
                (band, low) = (nextBand, nextLow);
            }
        }

        return samples;
    }

    [Fact]
    public void ManySignalsSideBySideGiveTheBitsOfOneSampleAtATime()
    {
        var channels = Gen.Int[1, 2].Array[1, 9];
        var sectionCount = Gen.Int[1, 4];
        Gen.Select(channels, sectionCount, Gen.Int[0, 100000], Gen.Int[1, 700]).Sample(
            (channelCounts, count, seed, blockFrames) =>
            {
                var inputs = channelCounts.Select((of, index) => Signals.Noise(Frames, (seed * 31) + index, channels: of)).ToArray();
                var sections = channelCounts.Select((_, index) => Sections(count, seed + index)).ToArray();
                var bank = new SectionBank([.. channelCounts.Zip(sections, (of, mine) => (of, mine))]);
                var outputs = channelCounts.Select(of => Signal.Allocate(of, Frames)).ToArray();
                for (var start = 0; start < Frames; start += blockFrames)
                {
                    var length = Math.Min(blockFrames, Frames - start);
                    bank.Process(
                        start, inputs.Select(signal => signal.Slice(start, length)).ToArray(),
                        outputs.Select(signal => signal.Slice(start, length)).ToArray());
                }

                for (var index = 0; index < inputs.Length; index++)
                {
                    for (var channel = 0; channel < inputs[index].Channels; channel++)
                        Assert.Equal(Reference(inputs[index][channel], sections[index]), outputs[index][channel].ToArray());
                }
            },
            iter: 60);
    }

    [Fact]
    public void OneSignalAloneGivesTheSameBitsToo()
    {
        var sections = Sections(3, seed: 5);
        var input = Signals.Noise(Frames, 7, channels: 2);
        var output = Signal.Allocate(2, Frames);
        new SectionCascade(sections).Process(0, input, output);
        Assert.Equal(Reference(input[0], sections), output[0].ToArray());
        Assert.Equal(Reference(input[1], sections), output[1].ToArray());
    }

    private static IReadOnlyList<Section> Sections(int count, int seed) =>
    [
        .. Enumerable.Range(0, count).Select(index => ((seed + index) % 4) switch
        {
            0 => SectionDesign.HighPass(20 + (seed % 97), 0.7071, SampleRateHz),
            1 => SectionDesign.Bell(60 + (seed % 1013), 1 + (seed % 7), (seed % 25) - 12, SampleRateHz),
            2 => SectionDesign.LowPassFirstOrder(300 + (seed % 5003), SampleRateHz),
            _ => SectionDesign.HighShelf(500 + (seed % 3001), 0.6, 4, SampleRateHz),
        }),
    ];
}
