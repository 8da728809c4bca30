namespace RenderGraph.Nodes.Measures.Collisions;

/// <summary>The angle of a complex number, in portable arithmetic, for reports.</summary>
internal static class Angle
{
    private const double DegreesPerRadian = 57.295779513082323;

    /// <summary>From -180 to 180 degrees, within 1e-9; 0 for 0.</summary>
    public static double Degrees(double real, double imaginary)
    {
        var length = Math.Sqrt((real * real) + (imaginary * imaginary));
        if (length == 0)
            return 0;
        if (imaginary == 0)
            return real > 0 ? 0 : 180;

        // Halved three times, an angle is below 23 degrees and its series short.
        var (x, y) = (real / length, imaginary / length);
        var halvings = 0;
        for (; halvings < 3; halvings++)
        {
            var cos = Math.Sqrt(Math.Max(0, (1 + x) / 2));
            (x, y) = cos > 1e-9 ? (cos, y / (2 * cos)) : (0, y > 0 ? 1 : -1);
        }

        var tangent = y / x;
        var (sum, power) = (0.0, tangent);
        for (var k = 0; k < 20; k++)
        {
            sum += (k % 2 == 0 ? power : -power) / ((2 * k) + 1);
            power *= tangent * tangent;
        }

        return sum * (1 << halvings) * DegreesPerRadian;
    }
}
