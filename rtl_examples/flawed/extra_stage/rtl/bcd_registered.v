// Eight bits to three digits between registers.
// Verilog-1995 style.
module bcd_registered (clk, rst, bin, hundreds, tens, ones);
    input        clk, rst;
    input  [7:0] bin;
    output [3:0] hundreds, tens, ones;

    reg    [7:0] first, held;
    reg    [3:0] hundreds, tens, ones;
    reg    [3:0] h, t, o;
    integer      i;

    always @(held) begin
        h = 0;
        t = 0;
        o = 0;
        for (i = 7; i >= 0; i = i - 1) begin
            if (h >= 5) h = h + 3;
            if (t >= 5) t = t + 3;
            if (o >= 5) o = o + 3;
            h = {h[2:0], t[3]};
            t = {t[2:0], o[3]};
            o = {o[2:0], held[i]};
        end
    end

    always @(posedge clk)
        if (rst) begin
            first    <= 0;
            held     <= 0;
            hundreds <= 0;
            tens     <= 0;
            ones     <= 0;
        end else begin
            first    <= bin;
            held     <= first;
            hundreds <= h;
            tens     <= t;
            ones     <= o;
        end
endmodule
