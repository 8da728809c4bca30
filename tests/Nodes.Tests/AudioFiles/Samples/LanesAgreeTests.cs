using CsCheck;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.AudioFiles;
using RenderGraph.Nodes.AudioFiles.Samples;
using Xunit;
namespace RenderGraph.Nodes.Tests.AudioFiles.Samples;

/// <summary>Four at a time and one by one: the same bits, for any bytes, any samples and any length.</summary>
public sealed class LanesAgreeTests
{
    private static readonly double[] Special = [-0.0, 0, 1, -1, 1e30, -1e30, 5e-324];

    private static readonly Gen<(byte[] Bytes, int Channels, double Amplitude)> Stored =
        Gen.Select(Gen.Byte.Array[0, 999], Gen.Int[1, 2], Gen.Double[0.01, 4]);

    /// <summary>Quiet and loud ones, past full scale, on a step, between two, and -0.</summary>
    private static readonly Gen<double[]> Samples = Gen.OneOf(
        Gen.Double[-1.2, 1.2], Gen.Int[-40000, 40000].Select(steps => steps / 32768.0), Gen.Int[-80000, 80000].Select(steps => steps / 65536.0),
        Gen.Double[-1e-5, 1e-5], Gen.Int[0, Special.Length - 1].Select(index => Special[index])).Array[0, 99];

    [Fact]
    public void Unsigned8() => AssertDecodesAlike<StoredUnsigned8>(StoredSamples.Unsigned8);

    [Fact]
    public void Pcm16() => AssertDecodesAlike<StoredPcm16>(StoredSamples.Pcm16);

    [Fact]
    public void Pcm24() => AssertDecodesAlike<StoredPcm24>(StoredSamples.Pcm24);

    [Fact]
    public void Pcm32() => AssertDecodesAlike<StoredPcm32>(StoredSamples.Pcm32);

    [Fact]
    public void Float32() => AssertDecodesAlike<StoredFloat32>(StoredSamples.Float32);

    [Fact]
    public void RoundingAndClipping()
    {
        Gen.Select(Samples, Gen.Int[2, 4].Select(bytes => bytes * 8), Gen.UInt).Sample((samples, bits, frame) =>
        {
            var quantizer = new Quantizer(bits);
            var dither = new Dither(99, 0, 0);
            int[] fours = new int[samples.Length], ones = new int[samples.Length];
            return quantizer.Round(samples, fours, dither, frame) == quantizer.RoundOnes(samples, ones, dither, frame) && fours.SequenceEqual(ones);
        });
    }

    [Fact]
    public void StoringIntegers()
    {
        AssertStoresAlike<StoredPcm16>(SampleEncoding.Pcm16, 16);
        AssertStoresAlike<StoredPcm24>(SampleEncoding.Pcm24, 24);
        AssertStoresAlike<StoredPcm32>(SampleEncoding.Pcm32, 32);
    }

    [Fact]
    public void StoringFloats()
    {
        Samples.Sample(samples =>
        {
            var ones = new int[samples.Length];
            SampleEncoder.RoundToFloatOnes(samples, ones);
            var bytes = Encode(SampleEncoding.Float32, 1, samples);
            return ones.SelectMany(BitConverter.GetBytes).SequenceEqual(bytes);
        });
    }

    private static void AssertDecodesAlike<T>(StoredSamples stored)
        where T : struct, IStoredSample
    {
        Stored.Sample(sample =>
        {
            var frames = sample.Bytes.Length / sample.Channels / T.Bytes;
            Signal fours = Signal.Allocate(sample.Channels, frames), ones = Signal.Allocate(sample.Channels, frames);
            SampleDecoder.Decode(stored, [.. sample.Bytes, .. new byte[SampleDecoder.SlackBytes]], sample.Amplitude, fours);
            SampleDecoder.DecodeOnes<T>(sample.Bytes, sample.Amplitude, ones, 0);
            return Enumerable.Range(0, sample.Channels).All(channel => fours[channel].ToArray().Select(Bits).SequenceEqual(ones[channel].ToArray().Select(Bits)));
        });
    }

    /// <summary>What is no number need not be the same one: it never gets any further.</summary>
    private static long Bits(double sample) => double.IsNaN(sample) ? -1 : BitConverter.DoubleToInt64Bits(sample);

    private static void AssertStoresAlike<T>(SampleEncoding encoding, int bits)
        where T : struct, IWrittenSample
    {
        Gen.Select(Samples, Gen.Int[1, 2]).Sample((samples, channels) =>
        {
            var frames = samples.Length / channels;
            var ones = new byte[frames * channels * T.Bytes];
            for (var channel = 0; channel < channels; channel++)
            {
                var plane = new int[frames];
                new Quantizer(bits).RoundOnes(samples.AsSpan(channel * frames, frames), plane, new(Dither.Seed("mix"), channel, 0), 0);
                SampleEncoder.StoreOnes<T>(plane, ones, channel, channels, 0);
            }

            return ones.SequenceEqual(Encode(encoding, channels, samples));
        });
    }

    private static byte[] Encode(SampleEncoding encoding, int channels, double[] samples)
    {
        var frames = samples.Length / channels;
        var encoder = new SampleEncoder(encoding, "mix");
        var bytes = new byte[(frames * channels * encoder.Bits / 8) + SampleEncoder.SlackBytes];
        encoder.Encode(new(samples, 0, frames, channels, frames), 0, bytes);
        return bytes[..^SampleEncoder.SlackBytes];
    }
}
