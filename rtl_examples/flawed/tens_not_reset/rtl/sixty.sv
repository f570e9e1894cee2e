// 00 to 59 as two decimal digits. The carry follows the wrap: it is high in the first clock of 00.
module sixty (
    input  logic       clk,
    input  logic       rst_n,
    input  logic       enable,
    output logic [3:0] ones = 4'd0,
    output logic [2:0] tens = 3'd0,
    output logic       carry = 1'b0
);
    wire ones_last = ones == 4'd9;
    wire tens_last = tens == 3'd5;

    always_ff @(posedge clk or negedge rst_n)
        if (!rst_n) begin
            ones  <= 4'd0;
            carry <= 1'b0;
        end else begin
            carry <= enable && ones_last && tens_last;
            if (enable) begin
                ones <= ones_last ? 4'd0 : ones + 4'd1;
                if (ones_last) tens <= tens_last ? 3'd0 : tens + 3'd1;
            end
        end
endmodule
