using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.Dsp;

/// <summary>
/// Holds one plane back by <see cref="WholeFrames"/> plus a fraction of a frame, by a windowed sinc of <see cref="TapCount"/> taps (Kaiser's window, beta 9):
/// up to 0.4535 of the sample rate (20 kHz at 44.1 kHz) its gain stays within 0.001 dB of 1 and its delay within 0.0001 frame of what was asked. Above, it falls away:
/// no filter can move half the sample rate by half a frame. 0 Hz passes at unity.
/// </summary>
public sealed class FractionalDelay
{
    /// <summary>Frames of sound on either side that a moved sample is made from.</summary>
    public const int HalfLengthFrames = 32;

    /// <summary>The whole part of its delay.</summary>
    public const int WholeFrames = HalfLengthFrames - 1;

    private const int TapCount = 2 * HalfLengthFrames;
    private const double KaiserBeta = 9;

    // Four sums of four frames each, so that none waits for its own last addition.
    private const int FramesAtOnce = 16;

    private readonly double[] _taps;
    private readonly double[] _heard;

    /// <summary>A delay at rest. It allocates nothing after this.</summary>
    /// <param name="fraction">Between 0 and 1.</param>
    /// <param name="maxBlockFrames">No block is longer.</param>
    public FractionalDelay(double fraction, int maxBlockFrames)
    {
        _taps = Design(fraction);
        _heard = new double[TapCount - 1 + maxBlockFrames];
    }

    /// <summary>Takes the next frames in and gives as many out.</summary>
    /// <param name="output">As long as the input, and not the input.</param>
    public void Process(ReadOnlySpan<double> input, Span<double> output)
    {
        // Kept in the order of time, so that several frames at once are one load. Each frame is summed by itself, from its latest sample to its earliest.
        input.CopyTo(_heard.AsSpan(TapCount - 1));
        ref var heard = ref MemoryMarshal.GetArrayDataReference(_heard);
        var frame = 0;
        for (; frame + FramesAtOnce <= input.Length; frame += FramesAtOnce)
        {
            var sum0 = Vector256<double>.Zero;
            var sum1 = Vector256<double>.Zero;
            var sum2 = Vector256<double>.Zero;
            var sum3 = Vector256<double>.Zero;
            for (var tap = 0; tap < TapCount; tap++)
            {
                var factor = Vector256.Create(_taps[tap]);
                var latest = (nuint)(frame + TapCount - 1 - tap);
                sum0 += factor * Vector256.LoadUnsafe(ref heard, latest);
                sum1 += factor * Vector256.LoadUnsafe(ref heard, latest + 4);
                sum2 += factor * Vector256.LoadUnsafe(ref heard, latest + 8);
                sum3 += factor * Vector256.LoadUnsafe(ref heard, latest + 12);
            }

            sum0.CopyTo(output[frame..]);
            sum1.CopyTo(output[(frame + 4)..]);
            sum2.CopyTo(output[(frame + 8)..]);
            sum3.CopyTo(output[(frame + 12)..]);
        }

        for (; frame < input.Length; frame++)
        {
            var sum = 0.0;
            for (var tap = 0; tap < TapCount; tap++)
                sum += _taps[tap] * _heard[frame + TapCount - 1 - tap];
            output[frame] = sum;
        }

        _heard.AsSpan(input.Length, TapCount - 1).CopyTo(_heard);
    }

    private static double[] Design(double fraction)
    {
        var taps = new double[TapCount];
        var total = 0.0;

        // sin(pi (tap - whole - fraction)) only changes its sign from tap to tap.
        var sine = PortableMath.Sin(Math.PI * fraction);
        for (var tap = 0; tap < TapCount; tap++)
        {
            var distance = tap - WholeFrames - fraction;
            var place = distance / HalfLengthFrames;
            var sinc = ((tap - WholeFrames) % 2 == 0 ? -sine : sine) / (Math.PI * distance);
            taps[tap] = sinc * Kaiser.Window(KaiserBeta, place);
            total += taps[tap];
        }

        for (var tap = 0; tap < TapCount; tap++)
            taps[tap] /= total;
        return taps;
    }
}
