namespace RenderGraph.Nodes.Dsp;

/// <summary>
/// Turns a jump into half a period of a cosine that arrives <c>rampSteps</c> later exactly: a weighted mean of the last targets whose weights
/// are the steps of that cosine, so they sum to 1. Jumps on the way simply add. A target held for <c>rampSteps</c> is met to the bit.
/// </summary>
/// <param name="rampSteps">Steps from the last old value to the first new one, at least 1.</param>
/// <param name="delaySteps">By so many steps the ramp starts later.</param>
public sealed class RaisedCosineGlide(int rampSteps, int delaySteps)
{
    private readonly double[] _weights = Weights(rampSteps);
    private readonly double[] _targets = new double[rampSteps + delaySteps];
    private int _next;
    private int _equalSteps = rampSteps + delaySteps;
    private double _last;

    /// <summary>Takes the next target and gives the value there.</summary>
    public double Next(double target)
    {
        _equalSteps = target == _last ? _equalSteps + 1 : 1;
        _last = target;
        _targets[_next] = target;
        _next = _next + 1 == _targets.Length ? 0 : _next + 1;
        if (_equalSteps >= _targets.Length)
        {
            _equalSteps = _targets.Length;
            return target;
        }

        // From the oldest on: the newest delaySteps have no weight yet.
        var (sum, slot) = (0.0, _next);
        foreach (var weight in _weights)
        {
            sum += weight * _targets[slot];
            slot = slot + 1 == _targets.Length ? 0 : slot + 1;
        }

        return sum;
    }

    private static double[] Weights(int rampSteps)
    {
        // From the oldest target to the newest; the cosine is symmetric, so the order makes no difference to the ear.
        var weights = new double[rampSteps];
        var before = 0.0;
        for (var step = 1; step <= rampSteps; step++)
        {
            var after = step == rampSteps ? 1 : (1 - PortableMath.Cos(Math.PI * step / rampSteps)) / 2;
            weights[step - 1] = after - before;
            before = after;
        }

        return weights;
    }
}
