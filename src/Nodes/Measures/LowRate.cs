using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.Measures;

/// <summary>
/// The low end at a low rate: every so many frames become one sample, at 2,000 to 4,000 a second. A mean of three boxes in a row (cascaded integrator-comb,
/// E. Hogenauer 1981) keeps 20 to 300 Hz within 1 dB and what would fold onto them 44 dB down. For measuring,
/// never to be heard.
/// </summary>
public sealed class LowRate
{
    private const int MaxRateHz = 4000;

    private readonly double[] _weights;
    private readonly double[] _frames; // as many as the weights reach back, then those not used up
    private int _waiting;

    /// <summary>For sound of that rate.</summary>
    public LowRate(int sampleRateHz)
    {
        while (sampleRateHz / Factor >= MaxRateHz)
            Factor *= 2;
        RateHz = (double)sampleRateHz / Factor;
        _weights = Weights(Factor);
        _frames = new double[_weights.Length];
        _waiting = _weights.Length - Factor;
    }

    /// <summary>Frames a sample stands for.</summary>
    public int Factor { get; } = 1;

    /// <summary>Samples a second.</summary>
    public double RateHz { get; }

    /// <summary>Frames by which a sample lies before the first of the <see cref="Factor"/> frames that completed it.</summary>
    public double LagFrames => (Factor - 1) / 2.0;

    /// <summary>Most samples that a block can give.</summary>
    public int MostSamples(int blockFrames) => (blockFrames / Factor) + 1;

    /// <summary>Takes the next block and gives the samples that it completes.</summary>
    /// <param name="into">At least <see cref="MostSamples"/> long.</param>
    /// <returns>How many there are.</returns>
    public int Process(ReadOnlySpan<double> block, Span<double> into)
    {
        var count = 0;
        while (block.Length > 0)
        {
            var taken = Math.Min(block.Length, _weights.Length - _waiting);
            block[..taken].CopyTo(_frames.AsSpan(_waiting));
            block = block[taken..];
            _waiting += taken;
            if (_waiting < _weights.Length)
                break;
            into[count++] = Weighted();
            _waiting -= Factor;
            _frames.AsSpan(Factor, _waiting).CopyTo(_frames);
        }

        return count;
    }

    private double Weighted()
    {
        // Four sums side by side, always added up in the same order.
        var sums = Vector256<double>.Zero;
        var weights = MemoryMarshal.Cast<double, Vector256<double>>(_weights);
        var frames = MemoryMarshal.Cast<double, Vector256<double>>(_frames);
        for (var index = 0; index < weights.Length; index++)
            sums += weights[index] * frames[index];
        var sum = sums[0] + sums[1] + (sums[2] + sums[3]);
        for (var index = weights.Length * Vector256<double>.Count; index < _weights.Length; index++)
            sum += _weights[index] * _frames[index];
        return sum;
    }

    private static double[] Weights(int factor)
    {
        double[] weights = [1];
        for (var box = 0; box < 3; box++)
        {
            var wider = new double[weights.Length + factor - 1];
            for (var index = 0; index < wider.Length; index++)
            {
                for (var back = 0; back < factor; back++)
                    wider[index] += index - back >= 0 && index - back < weights.Length ? weights[index - back] / factor : 0;
            }

            weights = wider;
        }

        return weights;
    }
}
