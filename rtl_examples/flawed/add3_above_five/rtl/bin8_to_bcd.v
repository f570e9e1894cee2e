// Eight bits to three packed digits in one combinational loop: shift left, and before each
// shift add 3 to every digit that is too large.
module bin8_to_bcd (
    input  wire [7:0]  bin,
    output reg  [11:0] bcd
);
    integer i, d;

    always @* begin
        bcd = 12'd0;
        for (i = 7; i >= 0; i = i - 1) begin
            for (d = 0; d < 12; d = d + 4)
                if (bcd[d +: 4] > 5)
                    bcd[d +: 4] = bcd[d +: 4] + 4'd3;
            bcd = {bcd[10:0], bin[i]};
        end
    end
endmodule
