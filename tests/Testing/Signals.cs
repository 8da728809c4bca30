using RenderGraph.Graph.Contracts;

namespace RenderGraph.Testing;

/// <summary>Sounds to try nodes with.</summary>
public static class Signals
{
    /// <summary>amplitude sin(2 pi f t + phase), mono unless told.</summary>
    public static Signal Sine(double frequencyHz, int sampleRateHz, int frames, double amplitude = 1, double phaseRadians = 0, int channels = 1)
    {
        // The phase is reduced to one turn before it is scaled, so that late frames are as exact as early ones.
        return Fill(channels, frames, (_, frame) =>
            amplitude * Math.Sin((2 * Math.PI * (frequencyHz * frame / sampleRateHz % 1)) + phaseRadians));
    }

    /// <summary>A single sample of 1 on every channel, silence around it.</summary>
    public static Signal Impulse(int frames, int at = 0, int channels = 1) => Fill(channels, frames, (_, frame) => frame == at ? 1 : 0);

    /// <summary>White noise, even between -amplitude and +amplitude, each channel its own; one seed is one noise.</summary>
    public static Signal Noise(int frames, int seed = 1, double amplitude = 0.5, int channels = 1)
    {
        var random = new Random(seed);
        return Fill(channels, frames, (_, _) => amplitude * ((2 * random.NextDouble()) - 1));
    }

    /// <summary>A constant.</summary>
    public static Signal Constant(double amplitude, int frames, int channels = 1) => Fill(channels, frames, (_, _) => amplitude);

    /// <summary>Silence.</summary>
    public static Signal Silence(int frames, int channels = 1) => Signal.Allocate(channels, frames);

    /// <summary>One mono signal from these samples.</summary>
    public static Signal Mono(params double[] samples) => new(samples, 0, samples.Length, 1, samples.Length);

    /// <summary>One stereo signal from two mono ones.</summary>
    public static Signal Stereo(Signal left, Signal right) => Fill(2, left.Frames, (channel, frame) => (channel == 0 ? left : right)[0][frame]);

    /// <summary>The signal with so many frames of silence after it.</summary>
    public static Signal WithTail(Signal signal, int frames)
    {
        var longer = Signal.Allocate(signal.Channels, signal.Frames + frames);
        signal.CopyTo(longer.Slice(0, signal.Frames));
        return longer;
    }

    /// <summary>One value for each channel and frame.</summary>
    public static Signal Fill(int channels, int frames, Func<int, int, double> value)
    {
        var signal = Signal.Allocate(channels, frames);
        for (var channel = 0; channel < channels; channel++)
        {
            var plane = signal[channel];
            for (var frame = 0; frame < frames; frame++)
                plane[frame] = value(channel, frame);
        }

        return signal;
    }

    /// <summary>Whether two signals are the same, bit by bit.</summary>
    public static bool AreSameBits(Signal one, Signal other)
    {
        if (one.Channels != other.Channels || one.Frames != other.Frames)
            return false;
        for (var channel = 0; channel < one.Channels; channel++)
        {
            for (var frame = 0; frame < one.Frames; frame++)
            {
                if (BitConverter.DoubleToInt64Bits(one[channel][frame]) != BitConverter.DoubleToInt64Bits(other[channel][frame]))
                    return false;
            }
        }

        return true;
    }

    /// <summary>Largest absolute difference; infinite if the shapes differ or one is not a number.</summary>
    public static double LargestDifference(Signal one, Signal other)
    {
        if (one.Channels != other.Channels || one.Frames != other.Frames)
            return double.PositiveInfinity;
        var largest = 0.0;
        for (var channel = 0; channel < one.Channels; channel++)
        {
            for (var frame = 0; frame < one.Frames; frame++)
            {
                var difference = Math.Abs(one[channel][frame] - other[channel][frame]);
                largest = double.IsNaN(difference) ? double.PositiveInfinity : Math.Max(largest, difference);
            }
        }

        return largest;
    }

    /// <summary>Largest absolute sample.</summary>
    public static double Peak(Signal signal) => LargestDifference(signal, Silence(signal.Frames, signal.Channels));
}
